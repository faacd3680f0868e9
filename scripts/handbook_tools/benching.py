"""Measure the budgets."""


def bench():
    raise NotImplementedError
