"""Every publication this handbook leans on, once.

A `Source` has a status that the reader sees: *published* (its text was read, or its printed
values are reproduced), *second-hand* (read where another document quotes or adopts it), *from
memory* (believed, not read for this edition) or *common practice* (no source).
`SOURCE.at("clause")` gives the Citation that equations, limits and checks carry.
"""

from __future__ import annotations

from dataclasses import dataclass, field

PUBLISHED = "published"
SECOND_HAND = "second-hand"
FROM_MEMORY = "from memory"
COMMON = "common practice"
STATUSES = (PUBLISHED, SECOND_HAND, FROM_MEMORY, COMMON)


@dataclass(frozen=True, slots=True)
class Source:
    """A publication, a law of physics or a trade habit, with the status of our knowledge of it.

    Beside a check or a step stands `short`, or else the title up to its first comma.
    """

    key: str
    title: str
    detail: str = ""
    status: str = PUBLISHED
    short: str = ""
    _cited: dict[tuple[str, str], Citation] = field(
        default_factory=dict, init=False, repr=False, hash=False, compare=False
    )

    def __post_init__(self) -> None:
        if self.status not in STATUSES:
            raise ValueError(f"{self.key}: status must be one of {STATUSES}")

    def at(self, place: str = "", status: str = "") -> Citation:
        """Return a citation of a place in this source, with another status where it differs."""
        cited = self._cited.get((place, status))
        if cited is None:
            cited = self._cited[place, status] = Citation(self, place, status or self.status)
        return cited


@dataclass(frozen=True, slots=True)
class Citation:
    """A place in a source."""

    source: Source
    place: str
    status: str

    def text(self) -> str:
        named = self.source.short or self.source.title.partition(", ")[0]
        return f"{named}, {self.place}" if self.place else named

    def data(self) -> dict[str, str]:
        return {"key": self.source.key, "text": self.text(), "status": self.status}


ASHRAE_SYSTEMS = Source(
    "ashrae-systems",
    "ASHRAE Handbook, HVAC Systems and Equipment",
    "Chapter on hydronic heating and cooling system design, editions 2000 to 2012.",
    FROM_MEMORY,
    short="ASHRAE HVAC Systems and Equipment",
)
ASHRAE_FUNDAMENTALS = Source(
    "ashrae-fundamentals",
    "ASHRAE Handbook, Fundamentals",
    "Chapters 1 and 31.",
    FROM_MEMORY,
    short="ASHRAE Fundamentals",
)
ASME_B1_20_1 = Source(
    "asme-b1-20-1",
    "ASME B1.20.1, Pipe threads, general purpose, inch",
    "Formulas and hand-tight lengths as remembered; the formulas reproduce the table.",
    FROM_MEMORY,
    short="ASME B1.20.1",
)
ASME_B36_10M = Source(
    "asme-b36-10m",
    "ASME B36.10M, Welded and seamless wrought steel pipe",
    "Sizes as remembered; the bores of schedule 40 agree with Perry, table 10-22, and the "
    "contents with the ASHAE Guide 1958, chapter 26, table 1.",
    FROM_MEMORY,
)
ASME_BPVC_IV = Source(
    "asme-bpvc-iv",
    "ASME Boiler and Pressure Vessel Code, Section IV, Heating Boilers",
    "Limits of low-pressure hot-water boilers.",
    FROM_MEMORY,
    short="ASME BPVC Section IV",
)
ASME_PCC_2 = Source(
    "asme-pcc-2",
    "ASME PCC-2, Repair of Pressure Equipment and Piping",
    "Appendix 501-II, stored energy of a pneumatic test.",
    SECOND_HAND,
)
ASME_VI = Source(
    "asme-vi",
    "ASME Boiler and Pressure Vessel Code, section VI, care of heating boilers",
    "The advice on operating gaps, as remembered.",
    FROM_MEMORY,
    short="ASME BPVC Section VI",
)
ASTM_B88 = Source(
    "astm-b88",
    "ASTM B88, Seamless copper water tube",
    "Sizes of types K, L and M as remembered.",
    FROM_MEMORY,
)
ASTM_F876 = Source(
    "astm-f876",
    "ASTM F876, Crosslinked polyethylene (PEX) tubing",
    "The scope was read; the walls are as remembered.",
    FROM_MEMORY,
)
BS_6798 = Source(
    "bs-6798",
    "BS 6798:2014, Gas-fired boilers up to 70 kW: selection and installation",
    "Clause 6.3.7.1 on the condensate pipe, as quoted in a discussion.",
    SECOND_HAND,
    short="BS 6798",
)
BURN_FOUNDATION = Source(
    "burn-foundation",
    "Burn Foundation, hot water burn times",
    "Times by water temperature, as others quote them.",
    SECOND_HAND,
)
CFR_29_1910_242 = Source(
    "29-cfr-1910-242",
    "US 29 CFR 1910.242, hand and portable powered tools",
    "Compressed air for cleaning, less than 30 psi.",
    SECOND_HAND,
)
CFR_40_403 = Source(
    "40-cfr-403",
    "US 40 CFR 403.5, prohibited discharges to sewage works",
    "Paragraph (b); the limit holds where the sewer reaches the works.",
    SECOND_HAND,
)
CHEMICALS = Source(
    "chemicals",
    "chemicals 1.5.2",
    "Open library of chemical data: standard heats of combustion and molar masses.",
)
CHICAGO_PLUMBING = Source(
    "chicago-plumbing",
    "Chicago Plumbing Code",
    "18-29-803.2 bans waste below pH 4.5 or above pH 10 from the drain; the part on relief valves "
    "of water heaters was read in excerpt.",
)
CHURCHILL_1977 = Source(
    "churchill-1977",
    "Churchill, Friction-factor equation spans all fluid-flow regimes",
    "Chemical Engineering 84 (1977); as the open library fluids 1.3.1 carries it.",
    short="Churchill 1977",
)
CIBSE_CPD_32 = Source(
    "cibse-cpd-32",
    "CIBSE Journal, CPD module 32",
    "September 2011; Bernoulli's equation round a closed loop.",
    short="CIBSE Journal CPD module 32",
)
COMMON_PRACTICE = Source(
    "common-practice",
    "Common practice",
    "A habit of the trade; no document is claimed.",
    COMMON,
)
CONDENSATE_READINGS = Source(
    "condensate-readings",
    "Published readings of condensate",
    "Gas mostly pH 3.8 to 5.5 and down to 2.8, oil pH 1.5 to 3.5, in course notes and papers.",
    short="Published readings",
)
CONTENT_FIGURES = Source(
    "content-figures",
    "Water content by kind of heat emitter or boiler",
    "Orders of magnitude as remembered, low confidence: half as much or half as much again "
    "is ordinary.",
    FROM_MEMORY,
    short="Usual water contents",
)
COOLPROP = Source(
    "coolprop",
    "CoolProp 8.0.0",
    "Open fluid property library: IAPWS-95 water, ASHRAE glycol sets by volume fraction.",
)
CRAVOTTA_2003 = Source(
    "cravotta-2003",
    "Cravotta 2003, Size and performance of anoxic limestone drains",
    "Journal of Environmental Quality 32, 1277; US Geological Survey.",
    short="Cravotta 2003",
)
CPSC_5098 = Source(
    "cpsc-5098",
    "US Consumer Product Safety Commission, document 5098, tap water scalds",
    "Burn times of adult skin by water temperature.",
    SECOND_HAND,
    short="US CPSC document 5098",
)
DIN_4807_5 = Source(
    "din-4807-5",
    "DIN 4807-5, Expansion vessels for drinking water",
    "Formula and a table of vessel volumes, read in a trade lexicon.",
    SECOND_HAND,
)
DWA_M_115_2 = Source(
    "dwa-m-115-2",
    "DWA-M 115-2, indirect discharge of non-domestic waste water",
    "Edition 2005, limits at the point of hand-over.",
    SECOND_HAND,
)
DWA_A_251 = Source(
    "dwa-a-251",
    "DWA-A 251, Condensates from condensing boilers",
    "Read through its abstracts and a table of a chimney sweeps' guild.",
    SECOND_HAND,
    short="DWA-A 251",
)
ELASTIC_CONSTANTS = Source(
    "elastic-constants",
    "Elastic constants of pipe metals",
    "Modulus and cross contraction of steel, stainless steel and copper, as remembered.",
    FROM_MEMORY,
)
EN_1057 = Source(
    "en-1057",
    "EN 1057, Copper and copper alloys: seamless round copper tubes",
    "Table 1, the grid of outside diameters and walls.",
)
EN_10255 = Source(
    "en-10255",
    "EN 10255, Non-alloy steel tubes suitable for welding and threading",
    "Sizes of the medium series as remembered.",
    FROM_MEMORY,
)
EN_12828 = Source(
    "en-12828",
    "EN 12828, Heating systems in buildings: design for water-based heating systems",
    "Formulas of annex D as remembered; they reproduce the vessel sizes printed in "
    "WTCB-Contact 2013/04.11.",
    FROM_MEMORY,
)
ENGINEERS_NOTE_2015 = Source(
    "engineers-note-2015",
    "A consulting engineer's note on expansion tanks for drinking water, 2015",
    "Final pressure a tenth below the relief valve.",
    short="Engineer's note of 2015",
)
EPA_1102 = Source(
    "epa-1102",
    "US EPA fact sheet on used antifreeze, document 1102",
    "Whoever discards antifreeze must find out whether it is hazardous waste.",
)
FLOW_TEXTBOOKS = Source(
    "flow-textbooks",
    "Fluid mechanics textbooks",
    "Loss coefficients of entries and valves, roughness of smooth hose.",
    FROM_MEMORY,
)
HSE_L23 = Source(
    "hse-l23",
    "HSE L23, Manual handling: guidance on regulations",
    "The lifting and lowering filter, read in a training booklet that prints it.",
    SECOND_HAND,
)
GLYCOL_FIGURES = Source(
    "glycol-figures",
    "Glycol strengths in use",
    "The range that keeps bacteria and corrosion away without much loss of heat, as remembered, "
    "medium confidence; densities of the pure glycols.",
    FROM_MEMORY,
    short="Usual glycol figures",
)
IAPMO_LOCATION = Source(
    "iapmo-location",
    "IAPMO paper on where the parts of a hydronic system belong",
    "The vessel's joint as the point of no pressure change.",
    short="IAPMO on component location",
)
IAPWS_G7_04 = Source(
    "iapws-g7-04",
    "IAPWS G7-04, Henry's constant of gases in water",
    "The equation as the open library iapws 1.5.5 carries it.",
    short="IAPWS G7-04",
)
IAPWS_IF97 = Source(
    "iapws-if97",
    "IAPWS Industrial Formulation 1997 for water and steam",
    "Through the open library iapws 1.5.5.",
    short="IAPWS-IF97",
)
ICAO_ATMOSPHERE = Source(
    "icao-atmosphere",
    "ICAO standard atmosphere",
    "The formula for the lowest layer, as ASHRAE Fundamentals prints it.",
    FROM_MEMORY,
)
IPC = Source(
    "ipc",
    "International Plumbing Code",
    "Sections 604.8 and 607.3, read where Philadelphia adopts them as P-607.3.",
    SECOND_HAND,
)
ISO_4126_1 = Source(
    "iso-4126-1",
    "ISO 4126-1, Safety devices against excessive pressure: safety valves",
    "The steam formula as remembered; it reproduces the constant printed in SV 100.",
    FROM_MEMORY,
)
ISO_13732_1 = Source(
    "iso-13732-1",
    "ISO 13732-1, Contact with hot surfaces",
    "The scope was read; the thresholds of bare metal are as remembered.",
    FROM_MEMORY,
    short="ISO 13732-1",
)
ISO_7_1 = Source(
    "iso-7-1",
    "ISO 7-1, Pipe threads where pressure-tight joints are made on the threads",
    "Gauge lengths and allowances as remembered; together they make up the useful lengths.",
    FROM_MEMORY,
    short="ISO 7-1",
)
LANGE = Source(
    "lange",
    "Lange's Handbook of Chemistry, 15th edition",
    "Table 5.13, freezing points of propylene glycol in water by volume.",
    short="Lange's Handbook",
)
MARYLAND_BOILER_RULES = Source(
    "maryland-boiler-rules",
    "Maryland boiler rules, COMAR 09.12.01.13",
    "Safety relief valves of hot-water boilers.",
)
MICHIGAN_BOILER_RULES = Source(
    "michigan-boiler-rules",
    "Michigan Administrative Code, boiler rules",
    "Rule R 408.4272 with its tables for forced and gravity systems; read in excerpt.",
    short="Michigan boiler rules",
)
MORITZ_HENRIQUES_1947 = Source(
    "moritz-henriques-1947",
    "Moritz and Henriques 1947, Studies of thermal injury",
    "American Journal of Pathology 23, 695; the times are as remembered.",
    FROM_MEMORY,
    short="Moritz and Henriques 1947",
)
NEVADA_BOILER_RULES = Source(
    "nevada-boiler-rules",
    "Nevada boiler rules, NAC 455C.232",
    "Safety relief valves of hot-water boilers.",
)
NEW_YORK_BOILER_RULES = Source(
    "new-york-boiler-rules",
    "New York boiler rules, 12 NYCRR 4-5.3",
    "Relieving capacity and the greatest pressure while the valves blow.",
)
NIOSH_94_110 = Source(
    "niosh-94-110",
    "NIOSH 94-110, Applications Manual for the Revised Lifting Equation",
    "Load constant, multipliers and their tables; two of them agree with a worked example of a "
    "government office.",
    FROM_MEMORY,
)
NORA_HYDRONICS = Source(
    "nora-hydronics",
    "NORA Advanced Hydronics",
    "Page 35, the pump and the joint of the vessel.",
)
NORTH_CAROLINA_BOILER_RULES = Source(
    "north-carolina-boiler-rules",
    "North Carolina Administrative Code, boiler rules",
    "13 NCAC 13 .0412; read in excerpt.",
    short="North Carolina boiler rules",
)
OWN_RULE = Source(
    "own-rule",
    "This handbook's own rule",
    "A bound set by this handbook to catch slips of the pen; the reason stands beside it.",
    COMMON,
)
PHILADELPHIA_PLUMBING = Source(
    "philadelphia-plumbing",
    "Philadelphia Plumbing Code",
    "Air gap of two bores.",
    SECOND_HAND,
)
PHYSICS = Source(
    "physics",
    "Law of physics",
    "Hydrostatics, Boyle and Gay-Lussac, energy and mass balance; derived where it is used.",
)
PINT = Source(
    "pint",
    "Pint",
    "Open unit library: every unit by its legal or customary definition.",
)
PLUMMER_BUSENBERG_1982 = Source(
    "plummer-busenberg-1982",
    "Plummer and Busenberg 1982, The solubilities of calcite, aragonite and vaterite",
    "Geochimica et Cosmochimica Acta 46, 1011; constants as the open program PHREEQC carries them.",
    short="Plummer and Busenberg 1982",
)
RITE_COURSE_NOTES = Source(
    "rite-course-notes",
    "Course notes on the Spanish building services rules (RITE)",
    "Content from output: 15 kg for each kW of boiler over 1.16, which is 12.9 L/kW.",
    short="RITE course notes",
)
SV_100 = Source(
    "sv-100",
    "VdTÜV-Merkblatt SV 100",
    "Section 3.2, valves set at 3 bar for heat generators.",
)
STOICHIOMETRY = Source(
    "stoichiometry",
    "Law of chemistry",
    "Mass balance of a reaction, with standard atomic weights.",
)
TRADE_SUPPLEMENT_2021 = Source(
    "trade-supplement-2021",
    "Trade supplement on plumbing and HVAC, 2021",
    "The rule of 0.433 psi for each foot and 5 psi on top.",
)
TXDOT_HYDRAULICS = Source(
    "txdot-hydraulics",
    "TxDOT Hydraulic Design Manual",
    "Grates in sag, equations 10-30 and 10-31.",
)
UFC_3_240_13FN = Source(
    "ufc-3-240-13fn",
    "UFC 3-240-13FN, Industrial Water Treatment",
    "US Department of Defense, edition 2005, chapter 5 on closed systems.",
)
UMC = Source(
    "umc",
    "Uniform Mechanical Code",
    "Sections 1004.1 and 1209: supports carry twice the filled weight.",
    SECOND_HAND,
)
UNE_100155 = Source(
    "une-100155",
    "UNE 100155:2004, Expansion systems",
    "Read through a commentary on its chapter 9 and a calculation sheet.",
)
UPC = Source(
    "upc",
    "Uniform Plumbing Code",
    "Sections 608.2, 608.3 and 810.1, lineage of 2021.",
    SECOND_HAND,
)
USGS_1998 = Source(
    "usgs-1998",
    "US Geological Survey 1998, limestone drains",
    "Water left one to three hours in limestone rose from below pH 4 to 6.2 to 7.0.",
    short="USGS 1998",
)
VDI_2035_2005 = Source(
    "vdi-2035-2005",
    "VDI 2035 part 1, edition 2005, Prevention of damage: scale",
    "Its values were read on an installer's page; their place in the table is as remembered.",
    SECOND_HAND,
    short="VDI 2035, 2005",
)
VDI_2035_2021 = Source(
    "vdi-2035-2021",
    "VDI 2035 part 1, edition 2021, Prevention of damage: scale and corrosion",
    "The table of hardness, the windows of pH and the limits of conductivity as remembered.",
    FROM_MEMORY,
    short="VDI 2035, 2021",
)
WASHINGTON_RELIEF_RULE = Source(
    "washington-relief-rule",
    "Washington Administrative Code 296-150V-1580",
    "Temperature and pressure relief valves; read in excerpt.",
)
WATER_INDUSTRY_ACT = Source(
    "water-industry-act",
    "UK Water Industry Act 1991",
    "Section 111, what may not pass into a public sewer.",
)
WISNER_1975 = Source(
    "wisner-1975",
    "Wisner and others 1975, Removal of air from water lines by hydraulic means",
    "The velocity that clears a pocket, as later work quotes it.",
    SECOND_HAND,
)
WTCB_VESSELS = Source(
    "wtcb-vessels",
    "WTCB article on the inspection of expansion vessels",
    "Gas passes slowly through every diaphragm; check the charge each year.",
)


def every() -> tuple[Source, ...]:
    """Return all sources declared here."""
    return tuple(value for value in list(globals().values()) if isinstance(value, Source))
