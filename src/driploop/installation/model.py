"""The installation: places, equipment, runs, circuits, loads and electrodes, addressed by ids a person can read.

The same parts describe the installation as found, as proposed and as built. Every field but an id may be ``None``,
which means *not known*; a job file writes ``"unknown"`` or leaves the field out. Nothing here guesses.
"""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from driploop.installation.kinds import (
    UNKNOWN,
    Amperes,
    BuildingUse,
    EquipmentKind,
    Fate,
    Horsepower,
    Insulation,
    LoadKind,
    Metal,
    MetalPaths,
    Method,
    Names,
    NotNegative,
    Positive,
    Role,
    Size,
    Spaces,
    words_none_to_empty,
)
from driploop.installation.soil_tests import FallPoints, FourPins


class Part(BaseModel):
    """Anything with an id. ``"unknown"`` in any field reads as None."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, populate_by_name=True, defer_build=True)

    id: str = Field(default="", exclude=True)
    name: str | None = None
    note: str | None = None

    @model_validator(mode="before")
    @classmethod
    def _unknown_is_none(cls, data: Any) -> Any:
        if isinstance(data, dict):
            return {key: None if value == UNKNOWN else value for key, value in data.items()}
        return data

    @property
    def title(self) -> str:
        """What to call it on paper."""
        return self.name or self.id.replace("-", " ")


class Building(Part):
    """A building, a dwelling unit in one with its own electrical supply, or a structure such as a yard pole."""

    use: BuildingUse | None = None
    part_of: str | None = None
    floor_area_ft2: Positive | None = Field(None, description="outside dimensions, all floors [ft2]")
    garage_area_ft2: NotNegative | None = Field(None, description="attached garage, not in floor_area_ft2 [ft2]")
    year_built: Annotated[int, Field(ge=1700, le=2100)] | None = None
    laundry: Literal["in unit", "common", "none"] | None = None
    gas_or_other_heat: bool | None = Field(None, description="heated by other than electricity")
    wet: bool | None = None
    corrosive: bool | None = None
    dusty: bool | None = Field(None, description="excessive dust, or dust with water")
    concrete_confinement: bool | None = Field(None, description="concrete floor where animals stand, metal in reach")
    equipotential_plane: bool | None = None
    communications: bool | None = Field(None, description="telephone, cable or dish enters or may enter")
    metal_frame_in_earth: bool | None = None
    other_sources: Names | None = Field(None, description="generator, solar or storage on the premises")
    rods_stand_in: Literal["line", "ring"] | None = Field(None, description="how three or more ground rods here stand")


class Equipment(Part):
    """A meter, disconnect, panel or box on the wall, as it hangs."""

    kind: EquipmentKind | None = None
    building: str | None = Field(None, description="id of the building or pole it hangs on")
    outdoors: bool | None = None
    location: str | None = Field(None, description="where it hangs, in words")
    room: (
        Literal["bathroom", "clothes closet", "over steps", "kitchen", "cellar", "attic", "garage", "hall", "other"]
        | None
    ) = None
    role: Role | None = Field(None, description="what it is to the installation; left out = read from the graph")
    rating_a: Amperes | None = Field(None, description="bus or switch rating [A]")
    poles: Literal[1, 2, 3] | None = None
    main: Literal["breaker", "fuses", "none"] | None = None
    main_a: Amperes | None = Field(None, description="main breaker or fuses [A]")
    mains_count: Annotated[int, Field(ge=1, le=12)] | None = Field(None, description="mains in this one enclosure")
    branch_protection: Literal["breakers", "cartridge fuses", "plug fuses", "none"] | None = None
    spaces: Annotated[int, Field(ge=1, le=200)] | None = None
    circuits_max: Annotated[int, Field(ge=1, le=200)] | None = None
    stab_limit_a: Amperes | None = Field(None, description="most that all breakers on one stab may be rated [A]")
    marked: str | None = Field(None, description="words found on it")
    suitable_as_service_equipment: bool | None = None
    interrupting_rating_a: Positive | None = None
    neutral_bonded: bool | None = Field(None, description="neutral joined to the enclosure here")
    terminal_temperature_c: Literal[60, 75, 90] | None = None
    surge_protection: Literal["none", "type 1", "type 2"] | None = None
    surge_discharge_ka: Positive | None = Field(None, description="nominal discharge current of its surge device [kA]")
    working_width_in: NotNegative | None = None
    working_depth_in: NotNegative | None = None
    working_height_in: NotNegative | None = None
    handle_height_in: NotNegative | None = None
    readily_accessible: bool | None = None
    knockouts: Literal["plain", "concentric", "eccentric", "hub"] | None = None
    line_side_fitting: (
        Literal["ordinary locknut", "bonding locknut", "bonding bushing", "threaded hub", "nonmetallic"] | None
    ) = None
    line_terminals_covered: bool | None = None
    line_side_splices_marked: bool | None = Field(None, description="blocks ahead of the service marked for line side")
    meter_height_in: NotNegative | None = Field(None, description="centre of the meter above grade [in]")
    from_gas_ft: NotNegative | None = Field(None, description="to the nearest gas meter, regulator or vent [ft]")
    series_rating: Literal["none", "marked", "not marked"] | None = Field(
        None, description="branch devices that rely on the main to interrupt a fault"
    )
    series_rated_a: Positive | None = Field(
        None, description="what its label lists for the tested combination with the main ahead [A]"
    )
    dedicated_space_clear: bool | None = Field(None, description="no pipe or duct above it, nothing stored before it")
    lit: bool | None = Field(None, description="light to work by, indoors")
    exposed_to_damage: bool | None = None
    foreign_breakers: bool | None = Field(None, description="breakers of a kind its label does not list")
    unused_openings: Annotated[int, Field(ge=0)] | None = None
    directory: Literal["clear", "unclear", "none"] | None = None
    neutrals_under_one_screw: Annotated[int, Field(ge=0)] | None = None
    fuse_in_neutral: bool | None = None
    tandem_breakers: Literal["none", "listed positions", "elsewhere"] | None = None
    tandem_spaces: Spaces | None = Field(None, description="spaces in which its label lists tandem breakers")
    backfed_main_fastened: bool | None = Field(None, description="left out where the main is not backfed")
    inside_width_in: Positive | None = Field(None, description="of the empty enclosure, inside [in]")
    inside_height_in: Positive | None = Field(None, description="of the empty enclosure, inside [in]")
    inside_depth_in: Positive | None = Field(None, description="of the empty enclosure, inside [in]")
    wiring_space_in: Positive | None = Field(None, description="free width beside the works inside [in]")
    in_sight_of: Names | None = Field(
        None, description="ids of loads and wishes that it opens and that are seen from it; none = of no load"
    )
    condition: str | None = None
    fate: Fate | None = None
    is_new: bool = False


class Run(Part):
    """A set of conductors from one piece of equipment to the next."""

    from_: str | None = Field(None, alias="from")
    to: str | None = None
    owner: Literal["utility", "customer"] | None = None
    method: Method | None = None
    trade_size: str | None = Field(None, description='raceway trade size in inches, as "1-1/4"')
    length_ft: NotNegative | None = None
    overhead: bool | None = None
    buried: bool | None = None
    burial_depth_in: NotNegative | None = None
    wires: Literal[2, 3, 4] | None = Field(None, description="lines, neutral and equipment ground, counted")
    sets: Annotated[int, Field(ge=1, le=6)] = 1
    line_size: Size | None = None
    metal: Metal | None = None
    insulation: Insulation | None = None
    neutral_size: Size | None = None
    neutral_insulated: bool | None = None
    egc: Literal["wire", "raceway", "armor", "none"] | None = None
    egc_size: Size | None = None
    egc_metal: Metal | None = None
    egc_insulated: bool | None = None
    ocpd: Literal["breaker", "fuses", "none"] | None = Field(None, description="overcurrent device at its start")
    ocpd_a: Amperes | None = None
    ambient_c: Annotated[float, Field(ge=-40, le=85)] | None = None
    in_thermal_insulation: bool | None = None
    current_carrying: Annotated[int, Field(ge=1, le=60)] | None = None
    metal_paths: MetalPaths | None = Field(None, description="metal that joins both ends besides the wires")
    gfpe_upstream: bool | None = Field(None, description="ground-fault protection of equipment ahead of it")
    year_installed: Annotated[int, Field(ge=1850, le=2100)] | None = None
    damaged: bool | None = None
    protected_from_damage: bool | None = None
    support_spacing_in: NotNegative | None = None
    lowest_over_ground_ft: NotNegative | None = None
    ground_below: Literal["pedestrian", "residential drive", "street or truck or farm"] | None = Field(
        None, description="what walks or drives under an overhead run, or over a buried one"
    )
    over_roof_ft: NotNegative | None = None
    roof_slope_in_12: NotNegative | None = None
    from_openings_ft: NotNegative | None = None
    over_material_opening: bool | None = Field(
        None, description="passes under or across an opening through which materials move, as a hay door"
    )
    attachment_height_ft: NotNegative | None = None
    head_above_attachment: bool | None = None
    drip_loop: bool | None = None
    mast_carries_other_cables: bool | None = None
    mast_trade_size: str | None = Field(None, description='in inches, as "2"; "none" where there is no mast')
    span_ft: Positive | None = Field(None, description="level distance from pole to attachment, paced off below it")
    pole_attachment_height_ft: Positive | None = Field(None, description="where the far end is held, over that ground")
    measured_temperature_f: Annotated[float, Field(ge=-60, le=130)] | None = Field(
        None, description="of the air when the heights of an overhead run were measured"
    )
    mast_above_roof_in: NotNegative | None = Field(None, description="from the roof to the attachment [in]")
    mast_guyed: bool | None = Field(None, description="guyed or braced against the pull")
    mast_coupling_above_support: bool | None = Field(None, description="attached above a coupling past the last strap")
    tail_length_in: NotNegative | None = Field(None, description="wire left out of the service head [in]")
    inside_length_ft: NotNegative | None = Field(None, description="service conductors inside, up to the disconnect")
    entry_sealed: bool | None = Field(None, description="raceway from underground sealed where it enters")
    passes_through_other_building: bool | None = None
    fate: Fate | None = None
    is_new: bool = False


class Circuit(Part):
    """What leaves one fuse, breaker or switch, with its wire as found."""

    from_: str | None = Field(None, alias="from", description="id of the equipment it leaves")
    position: str | None = Field(
        None, description="its number or space there, as 4 or 5-7; 12a and 12b are the halves of a tandem breaker"
    )
    serves: str | None = Field(None, description="words for the directory")
    room: str | None = None
    building: str | None = Field(None, description="where it ends, if not where it starts")
    purpose: (
        Literal["general", "small appliance", "laundry", "bathroom", "garage", "outdoor", "dedicated", "spare"] | None
    ) = None
    poles: Literal[1, 2, 3] | None = None
    ocpd: Literal["breaker", "plug fuse", "cartridge fuse", "time-delay fuse", "none"] | None = None
    ocpd_a: Amperes | None = None
    wire_size: Size | None = None
    metal: Metal | None = None
    insulation: Insulation | None = None
    cable: Method | None = None
    ground: Literal["wire", "bare wire", "raceway", "armor", "sheath that is not a ground", "none"] | None = None
    neutral: Literal["insulated", "bare", "none"] | None = None
    neutral_covered: bool | None = Field(
        None, description="bare neutral sleeved or insulated inside the panel, from the jacket to its terminal"
    )
    frame_grounded_by_neutral: bool | None = Field(None, description="three-wire range or dryer")
    multiwire_with: str | None = None
    leg: Literal["A", "B"] | None = Field(None, description="the line that a one-pole device takes")
    reach_ft: NotNegative | None = Field(None, description="free wire inside the new panel, from where it enters [ft]")
    enters: Literal["top", "bottom", "left", "right"] | None = Field(
        None, description="where its wire enters the new panel; asked where the wire is short"
    )
    interlocked: bool | None = Field(None, description="generator breaker that an interlock ties to the main")
    length_ft: NotNegative | None = None
    extend_ft: NotNegative | None = Field(None, description="added to reach the new panel, outside enclosures [ft]")
    ambient_c: Annotated[float, Field(ge=-40, le=85)] | None = None
    hot_place: Literal["none", "attic", "boiler room", "outdoors in the sun", "raceway on a roof"] | None = Field(
        None, description="the hottest place along its way; counts where ambient_c is not measured"
    )
    in_thermal_insulation: bool | None = None
    current_carrying: Annotated[int, Field(ge=1, le=60)] | None = None
    gfci: bool | None = None
    afci: bool | None = None
    receptacles: bool | None = None
    new_outlets: Annotated[int, Field(ge=0)] = Field(0, description="outlets or devices that this job adds to it")
    receptacles_replaced: Annotated[int, Field(ge=0)] = Field(0, description="receptacles that this job replaces")
    stays_on: (
        Literal[
            "smoke alarm",
            "fire alarm panel",
            "freezer",
            "livestock alarm",
            "livestock ventilation",
            "emergency lighting",
            "sump pump",
            "medical equipment",
            "nothing",
        ]
        | None
    ) = Field(None, description="what on it must not go dark unseen")
    fate: Fate | None = None
    is_new: bool = False


class Load(Part):
    """One appliance, motor or group of outlets, with its nameplate."""

    kind: LoadKind | None = None
    circuit: str | None = None
    panel: str | None = Field(None, description="id of the equipment that feeds it, where no circuit is listed")
    building: str | None = None
    va: Positive | None = None
    kw: Positive | None = None
    hp: Horsepower | None = Field(None, description='as the tables write it: "1/2", "3", "7-1/2"')
    current_a: Positive | None = None
    volts: Literal[115, 120, 208, 230, 240, 277, 480] | None = None
    phase: Literal[1, 3] | None = None
    count: Annotated[int, Field(ge=1, le=500)] = 1
    continuous: bool | None = None
    rla_a: Positive | None = None
    mca_a: Positive | None = None
    mocp_a: Positive | None = None
    lra_a: Positive | None = None
    code_letter: Annotated[str, Field(pattern="^[A-V]$")] | None = None
    overload_protection: Literal["starter", "built in", "its own fuses", "fuses of the circuit", "none"] | None = Field(
        None, description="what opens when the motor runs overloaded"
    )
    nameplate_device: Literal["fuse only", "fuse or breaker"] | None = Field(
        None, description="kind of device that the nameplate asks for"
    )
    duty_percent: Annotated[float, Field(gt=0, le=100)] | None = Field(None, description="duty cycle of a welder")
    controls: Annotated[int, Field(ge=1)] | None = Field(None, description="separately controlled heating units")
    supplemental_to: str | None = Field(None, description="id of the heat pump this heat belongs to")
    locked_out: bool | None = Field(None, description="compressor cannot run with its supplemental heat")
    never_with: Names | None = Field(None, description="ids of loads that cannot run at the same time")
    runs_together: bool | None = Field(None, description="farm: expected to run with the other loads so marked")
    receptacle_supplied: bool | None = Field(None, description="cord and plug rather than fastened in place")
    disconnect_in_sight: bool | None = Field(None, description="a switch or breaker in sight of it, or one that locks")
    is_new: bool = False


class Wish(Load):
    """A load that the customer wants now, or may want later."""

    when: Literal["now", "later"] | None = None
    replaces: Names | None = Field(None, description="ids of loads it takes the place of")


class Electrode(Part):
    """A grounding electrode in or at the earth, and the conductor that joins it."""

    kind: (
        Literal["metal water pipe", "concrete-encased", "ground ring", "rod", "pipe", "plate", "metal structure"] | None
    ) = None
    building: str | None = None
    connected: bool | None = None
    conductor_to: str | None = Field(None, description="id of the equipment where its conductor lands")
    conductor_size: Size | None = None
    conductor_metal: Metal | None = None
    continues_to: str | None = Field(None, description="id of an electrode the same conductor runs on to")
    splice: Literal["none", "irreversible", "listed bar", "ordinary clamp"] | None = None
    clamp_listed_for_burial: bool | None = None
    conductor_above_earth_in: NotNegative | None = None
    conductor_protected: bool | None = None
    steel_raceway_bonded_both_ends: bool | None = None
    length_ft: Positive | None = None
    diameter_in: Positive | None = None
    spacing_ft: NotNegative | None = Field(None, description="to the nearest other rod, pipe or plate")
    resistance_ohm: NotNegative | None = None
    fall_of_potential: FallPoints | None = Field(None, description="readings of a fall-of-potential test")
    current_probe_ft: Positive | None = Field(None, description="distance of the current probe in that test")
    earth_contact_ft: NotNegative | None = None
    connection_from_entry_ft: NotNegative | None = None
    meter_jumper: bool | None = Field(None, description="jumper round the water meter and filters")
    reachable_without_breaking_concrete: bool | None = None
    ring_size: Size | None = None
    area_ft2: Positive | None = Field(None, description="of a plate, all surface that touches the earth [ft2]")
    depth_in: NotNegative | None = Field(None, description="of a ring, a plate or a rod laid flat, under grade [in]")
    laid: Literal["upright", "at an angle", "flat in a trench"] | None = Field(
        None, description="how a rod or pipe lies"
    )
    angle_degrees: Annotated[float, Field(ge=0, le=90)] | None = Field(None, description="from upright [degrees]")
    rock_struck: bool | None = Field(None, description="rock kept it from being driven upright, or at all")
    is_new: bool = False


class Bond(Part):
    """A bond of piping, steel or communication systems, or the place where one is missing."""

    kind: (
        Literal[
            "metal water piping", "gas piping", "corrugated gas tubing", "structural steel",
            "intersystem termination", "communication", "other metal piping",
        ]
        | None
    ) = None  # fmt: skip
    building: str | None = None
    equipment: str | None = None
    present: bool | None = None
    size: Size | None = None
    metal: Metal | None = None
    terminals: Annotated[int, Field(ge=0)] | None = None
    is_new: bool = False


class MeteredDemand(Part):
    """A peak demand that was measured or read from the utility's record."""

    meter: str | None = None
    peak_kw: Positive | None = None
    interval_minutes: Positive | None = None
    record_months: NotNegative | None = None
    record_days: NotNegative | None = None
    highest_phase: bool | None = Field(None, description="taken on the most loaded phase")
    occupied: bool | None = None
    season_added_va: NotNegative | None = Field(None, description="heating or cooling missing from the record [VA]")
    solar_wind_or_peak_shaving: bool | None = None
    source: str | None = None


class WorkingHours(Part):
    """A time of the day or the season, and what runs together in it: milking, packing, evening, night heat."""

    circuits: Names | None = Field(None, description="ids of circuits that run, each with all its loads")
    loads: Names | None = Field(None, description="ids of single loads that run")
    share_percent: dict[str, Annotated[float, Field(ge=0, le=100)]] | None = Field(
        None, description="how much of its full load runs, by circuit or load id; left out = all of it"
    )


class LoadManagement(Part):
    """A system that holds a service, a feeder or vehicle chargers to a set point by holding loads back."""

    limits: Literal["service or feeder", "vehicle chargers"] | None = Field(
        None, description="all current of a service or feeder, or that of the chargers it controls, together"
    )
    holds: str | None = Field(None, description="id of the service disconnect, or of the equipment its feeder ends in")
    set_point_a: Amperes | None = Field(None, description="most that it lets through [A]")
    circuits: Names | None = Field(None, description="ids of circuits that it can hold back, each with all its loads")
    loads: Names | None = Field(None, description="ids of single loads that it can hold back")
    listed: bool | None = Field(None, description="listed for holding current to a set point")
    fails_safe: bool | None = Field(None, description="with it dead or its sensor cut, what it controls is off or held")
    settings: Literal["behind restricted access", "open to anyone"] | None = Field(
        None, description="who may change the set point"
    )
    marked: bool | None = Field(None, description="the equipment it holds carries the set point")
    accepted: bool | None = Field(None, description="the authority takes the set point as the load, in writing")
    is_new: bool = False


class Utility(Part):
    """Who supplies the place, and how."""

    supply: Literal["overhead", "underground"] | None = None
    system: Literal["120/240 V single-phase", "208Y/120 V single-phase"] | None = None
    transformer_kva: Positive | None = None
    transformer_impedance_percent: Annotated[float, Field(gt=0, le=100)] | None = None
    available_fault_current_a: Annotated[float, Field(gt=0, le=1_000_000)] | None = None
    x_over_r: Annotated[float, Field(gt=0, le=100)] | None = Field(
        None, description="reactance over resistance: of the transformer, or stated beside its fault current"
    )
    meter_work_by: Literal["utility", "contractor by written leave"] | None = None
    loading_district: Literal["heavy", "medium", "light"] | None = Field(
        None, description="ice and wind the utility reckons with"
    )
    service_order: str | None = None
    notice_date: str | None = Field(None, description="day the utility was told of the work")
    cutover_date: str | None = Field(None, description="day on which the supply is opened")
    overlay: str | None = None


class Soil(Part):
    """The earth the electrodes stand in."""

    description: (
        Literal[
            "fill, ashes or brine waste", "clay, shale or loam", "clay or loam with sand and gravel",
            "gravel or sand with little clay",
        ]
        | None
    ) = None  # fmt: skip
    frost_depth_in: NotNegative | None = Field(None, description="how deep the ground freezes in a hard winter")
    four_pin: FourPins | None = Field(None, description="readings of four pins in a row, best at several spacings")


class Town(Part):
    """Whose rules bind the job."""

    edition: str | None = None
    overlay: str | None = None
    permit_date: str | None = None
    notice_date: str | None = Field(None, description="day the town was told of the work")
    who_said_so: str | None = None
    date_said: str | None = None


class Proposal(Part):
    """What the shop has decided to build."""

    kind: (
        Literal[
            "service disconnect inside", "service disconnect outdoors", "emergency disconnect", "meter disconnect",
            "everything outdoors", "several service disconnects", "farm distribution point", "meter and two mains",
            "keep what is there",
        ]
        | None
    ) = None  # fmt: skip
    scope: Literal["full service", "panel only", "service cable only", "meter only"] | None = None
    rating_a: Amperes | None = None
    metal: Metal | None = None
    method: Method | None = Field(None, description="service conductors up to the new service equipment")
    insulation: Insulation | None = None
    length_ft: NotNegative | None = Field(None, description="service conductors, service point to disconnect [ft]")
    outdoor_place: str | None = Field(None, description="id of the building or pole that carries the outdoor device")
    outdoor_location: str | None = None
    panel: str | None = Field(None, description="id of the panel as found that the new main panel takes over")
    panel_rating_a: Amperes | None = None
    panel_spaces: Annotated[int, Field(ge=2, le=84)] | None = None
    feeder_method: Method | None = None
    feeder_metal: Metal | None = None
    feeder_length_ft: NotNegative | None = None
    feeder_insulation: Insulation | None = None
    disconnect_ratings_a: dict[str, Amperes] | None = Field(None, description="by building id")
    site_isolating: bool | None = Field(None, description="site-isolating device without overcurrent protection")
    interrupting_rating_a: Positive | None = None
    new_rods: Annotated[int, Field(ge=0, le=12)] | None = None
    rod_spacing_ft: Positive | None = None
    moves: dict[str, str] | None = Field(None, description="circuit id = new panel id")
    held_places: dict[str, str] = Field(
        {}, description='where the shop wants it in its panel: circuit, feeder or later wish = "5", "1-3", "3-1"'
    )
    laid_places: dict[str, str] = Field(
        {}, description="where the rest was last laid, in the same words; any of them gives way to a place that is held"
    )
    buildings: dict[str, Building] = Field({}, description="what the work changes of a building that is there")
    equipment: dict[str, Equipment] = Field(
        {}, description="what differs from the consequence of the kind, or is added"
    )
    runs: dict[str, Run] = Field({}, description="what differs from the consequence of the kind, or is added")
    circuits: dict[str, Circuit] = Field({}, description="what is renewed of old circuits, or is added")
    electrodes: dict[str, Electrode] = Field({}, description="what differs, or is added")
    bonds: dict[str, Bond] = Field({}, description="what differs, or is added")
    load_management: dict[str, LoadManagement] = Field({}, description="what differs, or is added")


State = Literal["found", "proposed", "built"]


class Installation(BaseModel):
    """The graph in one of its states. Parts are held by id, in the order of the survey."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, defer_build=True)

    state: State = "found"
    site_kind: Literal["residence", "farm"] | None = None
    utility: Utility = Utility.model_construct()
    soil: Soil = Soil.model_construct()
    buildings: dict[str, Building] = {}
    equipment: dict[str, Equipment] = {}
    runs: dict[str, Run] = {}
    circuits: dict[str, Circuit] = {}
    loads: dict[str, Load] = {}
    electrodes: dict[str, Electrode] = {}
    bonds: dict[str, Bond] = {}
    metered: dict[str, MeteredDemand] = {}
    working_hours: dict[str, WorkingHours] = {}
    load_management: dict[str, LoadManagement] = {}


#: What ways to build a service may be ranked by.
RankedBy = Literal[
    "lawful without questions", "wishes carried", "headroom", "circuits touched", "circuits extended",
    "three-wire circuits lost", "conductor", "new enclosures", "power off",
]  # fmt: skip


class Shop(Part):
    """How the shop that holds the job file likes to work."""

    order: Annotated[tuple[RankedBy, ...], BeforeValidator(words_none_to_empty)] | None = Field(
        None, description="what ways to build are ranked by, weightiest first"
    )
    panels: str | None = Field(None, description="file of panels that the shop can buy, beside the job file")


class JobHeader(Part):
    """What stands on the cover."""

    title_line: str | None = Field(None, alias="title")
    number: str | None = None
    customer: str | None = None
    address: str | None = None
    prepared_by: str | None = None
    licence: str | None = None
    date: str | None = None
    photographs: str | None = None

    @property
    def title(self) -> str:
        """The job's title on paper."""
        return self.title_line or "Service change"


class Job(BaseModel):
    """A whole job: header, town, what was found, what is wished, what is proposed."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, defer_build=True)

    header: JobHeader = JobHeader.model_construct()
    shop: Shop = Shop.model_construct()
    town: Town = Town.model_construct()
    found: Installation = Installation.model_construct()
    wishes: dict[str, Wish] = {}
    proposal: Proposal | None = None
