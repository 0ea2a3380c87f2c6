"""A plan written by hand, with every shape that a paper must show: an invented goldfish, its tubs, and what follows."""

from datetime import datetime

from waterplan.actions.record import Action, Instead, Kind, Who
from waterplan.hazards.record import EquationUsed, Hazard, Input, Judgement, Limit, Measure, Side, Verdict, Why
from waterplan.plan.record import (
    Day,
    FirstPage,
    Grid,
    Made,
    MeasureNext,
    MomentState,
    Plan,
    Read,
    Readiness,
    RowUsed,
    Source,
    VanItem,
    VolumeFound,
    Written,
)
from waterplan.stay.record import (
    ActEnd,
    Content,
    Figure,
    Fish,
    FishState,
    HangsOn,
    Moment,
    Occupant,
    Origin,
    Quantity,
    Series,
    State,
    Water,
    WaterKind,
    Way,
)

LOW, HIGH, BEST = ActEnd.LOW, ActEnd.HIGH, ActEnd.BEST
PATIENT = "patient-1"


def at(clock, day=14):
    return datetime.fromisoformat(f"2026-05-{day:02d}T{clock}:00+02:00")


def figure(low, best, high, unit, act_on, act_end, **more):
    return Figure(low=low, best=best, high=high, unit=unit, act_on=act_on, act_end=act_end, **more)


def exact(value, unit, end=BEST, **more):
    return figure(value, value, value, unit, value, end, **more)


FIGURES = {
    "patient-1/weight": figure(0.61, 0.62, 0.63, "kg", 0.62, BEST),
    "patient-1/length": figure(30.5, 31.0, 31.5, "cm", 31.0, BEST),
    "home-pond/volume": figure(6483.0, 6576.0, 6670.0, "L", 6480.0, LOW),
    "home-pond/temperature": figure(17.3, 17.5, 17.7, "°C", 17.5, BEST),
    "home-pond/oxygen": figure(8.05, 8.3, 8.55, "mg/L", 8.0, LOW),
    "home-pond/oxygen/until-emergency/power-cut": figure(372.0, 840.0, None, "min", 370.0, LOW, never=0.08),
    "home-pond/formalin": exact(25.0, "uL/L", HIGH),
    "mains/chlorine": figure(0.36, 0.4, 0.44, "mg/L", 0.44, HIGH),
    "induction-1/volume": figure(24.4, 25.0, 25.6, "L", 24.4, LOW, rows=("vessel_methods/marked tub/sd",)),
    "induction-1/temperature": figure(16.5, 17.5, 18.5, "°C", 17.5, BEST),
    "induction-1/oxygen": figure(8.6, 8.9, 9.2, "mg/L", 8.6, LOW),
    "induction-1/oxygen/lowest": figure(5.64, 6.9, 7.8, "mg/L", 5.6, LOW, equations=("fish.routine_uptake",)),
    "induction-1/oxygen/lowest/after-air": figure(8.1, 8.4, 8.6, "mg/L", 8.1, LOW),
    "induction-1/oxygen/until-alarm": figure(
        24.6,
        53.1,
        108.2,
        "min",
        24.0,
        LOW,
        never=0.0,
        hangs_on=(
            HangsOn(input="oxygen uptake of patient-1", share=0.86),
            HangsOn(input="volume of induction-1", share=0.02),
        ),
    ),
    "induction-1/oxygen/until-emergency": figure(41.2, 89.0, 183.0, "min", 41.0, LOW),
    "induction-1/air/flow": figure(3.9, 4.6, 5.02, "L/min", 6.0, HIGH),
    "induction-1/air/stones": exact(2.0, "", HIGH),
    "induction-1/tricaine": figure(101.0, 104.0, 107.0, "mg/L", 107.0, HIGH),
    "induction-1/tricaine/mass": figure(2.57, 2.64, 2.7, "g", 2.6, LOW, worked_out_for="24.4 L"),
    "induction-1/bicarbonate/mass": figure(2.57, 2.64, 2.7, "g", 2.6, LOW),
    "revival-1/volume": figure(147.0, 155.0, 164.0, "L", 147.0, LOW),
    "revival-1/temperature": figure(16.0, 17.5, 19.0, "°C", 17.5, BEST),
    "revival-1/chlorine": figure(0.0, 0.2, 0.8, "mg/L", 0.8, HIGH),
    "revival-1/oxygen/lowest": figure(7.4, 8.0, 8.5, "mg/L", 7.4, LOW),
    "revival-1/oxygen/until-alarm": figure(126.0, 273.0, 566.0, "min", 125.0, LOW),
    "revival-1/oxygen/until-emergency": figure(234.0, 502.0, 1038.0, "min", 230.0, LOW),
    "hospital-1/volume": figure(451.0, 470.0, 491.0, "L", 451.0, LOW),
    "hospital-1/temperature": figure(17.8, 18.0, 18.2, "°C", 18.0, BEST),
    "hospital-1/temperature/kept": exact(21.0, "°C"),
    "hospital-1/temperature/step": exact(1.0, "°C step", LOW),
    "hospital-1/oxygen/lowest": figure(7.6, 7.9, 8.1, "mg/L", 7.6, LOW),
    "hospital-1/oxygen/until-alarm": figure(565.0, 1221.0, None, "min", 565.0, LOW, never=0.12),
    "hospital-1/oxygen/until-emergency": figure(None, None, None, "min", None, LOW, never=1.0),
    "hospital-1/ammonia/highest": figure(0.012, 0.031, 0.074, "mg/L as N", 0.074, HIGH),
    "hospital-1/ammonia/highest/after-change": figure(0.004, 0.009, 0.014, "mg/L as N", 0.014, HIGH),
    "hospital-1/ammonia/limit": figure(0.9, 1.1, 1.3, "mg/L as N", 0.9, LOW),
    "hospital-1/ammonia/until-limit": figure(20.0, 41.0, 88.0, "h", 20.0, LOW),
    "hospital-1/change/volume": figure(198.0, 214.0, 225.0, "L", 225.0, HIGH),
    "hospital-1/thiosulphate/mass": figure(0.56, 0.9, 1.0, "g", 1.0, HIGH, worked_out_for="225 L"),
    "van/thiosulphate": exact(1.5, "g", HIGH),
    "van/pH meter": exact(1.0, "pieces", HIGH),
    "hospital-1/thiosulphate/excess": figure(0.0, 0.1, 0.4, "mg/L", 0.4, HIGH),
    "hospital-1/salt/mass": figure(1180.0, 1230.0, 1290.0, "g", 1180.0, LOW, worked_out_for="451 L"),
    "hospital-1/salt": figure(1.9, 2.0, 2.1, "g/L", 2.1, HIGH),
    "hospital-1/salt/change": exact(450.0, "g", LOW),
    "hospital-1/temperature/check": exact(26.0, "°C"),
    "bag-1/oxygen/until-emergency": figure(630.0, 1868.0, 2400.0, "min", 630.0, LOW),
    "patient-1/flunixin/draw": figure(0.12, 0.124, 0.13, "mL", 0.12, LOW),
    "patient-1/flunixin/dose": exact(0.5, "mg/kg"),
    "patient-1/stitches/day": figure(22.0, 23.0, 24.0, "days", 22.0, LOW),
}


def _state(when, quantities, contents=(), after=(), **more):
    return State(
        at=when,
        after=after,
        quantities={name: Quantity(figure=path, **rest) for name, (path, rest) in quantities.items()},
        contents=contents,
        **more,
    )


def measured(tool, text, clock="07:40"):
    return {"origin": Origin.MEASURED, "measured_with": tool, "taken": at(clock), "text": text}


ASSUMED = {"origin": Origin.ASSUMED, "came_from": "defensible range", "why": "not measured"}
WORKED_OUT = {"origin": Origin.WORKED_OUT, "came_from": "prepare/fill/induction-1"}

WATERS = (
    Water(
        id="home-pond",
        name="garden pond",
        kind=WaterKind.HOME,
        occupants=(Occupant(fish="other-1", state=FishState.AT_REST),),
        states=(
            _state(
                at("07:40"),
                {
                    "volume": ("home-pond/volume", {"origin": Origin.WORKED_OUT}),
                    "temperature": (
                        "home-pond/temperature",
                        measured("digital thermometer", "17.5 °C, digital thermometer"),
                    ),
                    "oxygen": ("home-pond/oxygen", measured("oxygen meter", "8.3 mg/L, oxygen meter")),
                },
                (Content(substance="formalin", level="home-pond/formalin", came_from="already/1"),),
            ),
        ),
    ),
    Water(
        id="mains",
        name="mains water",
        kind=WaterKind.SOURCE,
        pours_into=("hospital-1", "revival-1"),
        states=(_state(at("07:55"), {"chlorine": ("mains/chlorine", measured("drop kit", "0.4 mg/L, drop kit"))}),),
    ),
    Water(
        id="induction-1",
        name="white basin",
        kind=WaterKind.INDUCTION,
        occupants=(Occupant(fish=PATIENT, state=FishState.ANAESTHETISED, start=at("10:00"), until=at("10:40")),),
        states=(
            _state(
                at("09:30"),
                {
                    "volume": ("induction-1/volume", measured("marked tub", "25 L, marked tub")),
                    "temperature": ("induction-1/temperature", ASSUMED),
                    "oxygen": ("induction-1/oxygen", WORKED_OUT),
                },
                (
                    Content(
                        substance="tricaine",
                        level="induction-1/tricaine",
                        came_from="procedure/dose/induction-1/tricaine",
                    ),
                ),
                after=("prepare/move/induction-1",),
            ),
        ),
    ),
    Water(
        id="revival-1",
        name="blue tub",
        kind=WaterKind.REVIVAL,
        occupants=(Occupant(fish=PATIENT, state=FishState.RECOVERING, start=at("10:40"), until=at("11:40")),),
        states=(
            _state(
                at("09:30"),
                {
                    "volume": ("revival-1/volume", measured("tape", "74 cm across, 36 cm deep")),
                    "temperature": ("revival-1/temperature", ASSUMED),
                    "chlorine": ("revival-1/chlorine", ASSUMED),
                },
            ),
        ),
    ),
    Water(
        id="hospital-1",
        name="hospital tank",
        kind=WaterKind.HOSPITAL,
        occupants=(Occupant(fish=PATIENT, state=FishState.HANDLED, start=at("11:40"), until=at("11:40", 28)),),
        states=(
            _state(
                at("08:20"),
                {
                    "volume": ("hospital-1/volume", measured("tape", "1.40 m by 0.70 m by 0.48 m")),
                    "temperature": (
                        "hospital-1/temperature",
                        measured("digital thermometer", "18.0 °C, digital thermometer"),
                    ),
                },
            ),
            _state(
                at("22:00"),
                {"salt": ("hospital-1/salt", {"origin": Origin.WORKED_OUT, "came_from": "hospital/salt/hospital-1"})},
                after=("hospital/salt/hospital-1",),
            ),
        ),
    ),
    Water(id="bag-1", name="bag", kind=WaterKind.BAG, occupants=(Occupant(fish=PATIENT, state=FishState.HANDLED),)),
)

ALARM = Limit(
    value=6.0,
    unit="mg/L",
    side=Side.AT_LEAST,
    row="oxygen_levels/cyprinid/anaesthetised/alarm",
    status="judgement",
    source="waterplan",
)
NO_CHLORINE = Limit(
    value=0.011,
    unit="mg/L",
    side=Side.AT_MOST,
    row="water_limits/chlorine/any/limit",
    status="published",
    source="epa_chlorine_1984",
)
AMMONIA = Limit(
    value=0.016,
    unit="mg/L as N",
    side=Side.AT_MOST,
    row="water_limits/nh3/carp_like/limit",
    status="published",
    source="tschv_2008",
)
WARMTH = Limit(
    value=18.0,
    upper=26.0,
    unit="°C",
    side=Side.BETWEEN,
    row="species_ranges/goldfish/kept temperature",
    status="judgement",
    source="waterplan",
)
READINGS = "errors of the readings"


def _input(water, quantity, origin, decides=True):
    return Input(water=water, quantity=quantity, origin=origin, decides=decides)


JUDGEMENTS = (
    Judgement(
        id="home-pond/oxygen",
        hazard=Hazard.OXYGEN,
        moment=Moment.CALL,
        water="home-pond",
        fish=("other-1", PATIENT),
        figure="home-pond/oxygen",
        verdict=Verdict.WITHIN_LIMIT,
        chance=0.998,
        chance_counts=READINGS,
        until_harm="home-pond/oxygen/until-emergency/power-cut",
        limit=ALARM.model_copy(update={"value": 5.0, "row": "oxygen_levels/cyprinid/at rest/alarm"}),
        inputs=(_input("home-pond", "oxygen", Origin.MEASURED),),
    ),
    Judgement(
        id="home-pond/chlorine",
        hazard=Hazard.CHLORINE,
        moment=Moment.CALL,
        water="home-pond",
        fish=("other-1",),
        verdict=Verdict.NOT_KNOWN,
        limit=NO_CHLORINE,
        inputs=(_input("home-pond", "chlorine", Origin.ASSUMED),),
        measure=(Measure(water="home-pond", quantity="chlorine", measured_with="drop kit", would_change=0.4),),
        why=(Why(code="not-measured", words={"quantity": "chlorine", "water": "home-pond"}),),
    ),
    Judgement(
        id="mains/chlorine",
        hazard=Hazard.CHLORINE,
        moment=Moment.PREPARE,
        water="mains",
        figure="mains/chlorine",
        verdict=Verdict.ACT_NOW,
        chance=0.001,
        chance_counts=READINGS,
        limit=NO_CHLORINE,
        inputs=(_input("mains", "chlorine", Origin.MEASURED),),
        answered_by=("hospital/neutralise/hospital-1",),
    ),
    Judgement(
        id="induction-1/oxygen",
        hazard=Hazard.OXYGEN,
        moment=Moment.PROCEDURE,
        water="induction-1",
        fish=(PATIENT,),
        start=at("10:00"),
        until=at("10:40"),
        given_done=("procedure/air/induction-1",),
        figure="induction-1/oxygen/lowest/after-air",
        verdict=Verdict.WITHIN_LIMIT,
        chance=0.97,
        chance_counts="errors of the readings and of the uptake equation",
        until_harm="induction-1/oxygen/until-alarm",
        limit=ALARM,
        inputs=(
            _input("induction-1", "oxygen", Origin.WORKED_OUT),
            _input("induction-1", "temperature", Origin.ASSUMED, decides=False),
        ),
        equations=(
            EquationUsed(name="routine oxygen uptake of a cyprinid", source="yamanaka_2013", outside=("weight",)),
        ),
        before="induction-1/oxygen/before",
    ),
    Judgement(
        id="induction-1/oxygen/before",
        hazard=Hazard.OXYGEN,
        moment=Moment.PROCEDURE,
        water="induction-1",
        fish=(PATIENT,),
        start=at("10:00"),
        until=at("10:40"),
        figure="induction-1/oxygen/lowest",
        verdict=Verdict.ACT_NOW,
        chance=0.71,
        chance_counts="errors of the readings and of the uptake equation",
        until_harm="induction-1/oxygen/until-alarm",
        limit=ALARM,
        answered_by=("procedure/air/induction-1",),
    ),
    Judgement(
        id="revival-1/chlorine",
        hazard=Hazard.CHLORINE,
        moment=Moment.REVIVAL,
        water="revival-1",
        fish=(PATIENT,),
        start=at("10:40"),
        until=at("11:40"),
        figure="revival-1/chlorine",
        verdict=Verdict.ACT_NOW,
        whatever=True,
        chance=0.02,
        chance_counts=READINGS,
        limit=NO_CHLORINE,
        inputs=(_input("revival-1", "chlorine", Origin.ASSUMED),),
        measure=(Measure(water="revival-1", quantity="chlorine", measured_with="drop kit", would_change=0.6),),
        answered_by=("prepare/measure/revival-1/chlorine", "prepare/neutralise/revival-1"),
    ),
    Judgement(
        id="revival-1/oxygen",
        hazard=Hazard.OXYGEN,
        moment=Moment.REVIVAL,
        water="revival-1",
        fish=(PATIENT,),
        figure="revival-1/oxygen/lowest",
        verdict=Verdict.WATCH,
        chance=0.93,
        chance_counts=READINGS,
        until_harm="revival-1/oxygen/until-alarm",
        limit=ALARM,
    ),
    Judgement(
        id="hospital-1/ammonia",
        hazard=Hazard.AMMONIA,
        moment=Moment.HOSPITAL,
        water="hospital-1",
        fish=(PATIENT,),
        start=at("11:40"),
        until=at("11:40", 28),
        given_done=("hospital/change/hospital-1",),
        figure="hospital-1/ammonia/highest/after-change",
        verdict=Verdict.WITHIN_LIMIT,
        chance=0.96,
        chance_counts=READINGS,
        until_harm="hospital-1/ammonia/until-limit",
        limit=AMMONIA,
        before="hospital-1/ammonia/before",
    ),
    Judgement(
        id="hospital-1/ammonia/before",
        hazard=Hazard.AMMONIA,
        moment=Moment.HOSPITAL,
        water="hospital-1",
        fish=(PATIENT,),
        figure="hospital-1/ammonia/highest",
        verdict=Verdict.ACT_NOW,
        chance=0.2,
        chance_counts=READINGS,
        until_harm="hospital-1/ammonia/until-limit",
        limit=AMMONIA,
        answered_by=("hospital/change/hospital-1",),
    ),
    Judgement(
        id="hospital-1/oxygen",
        hazard=Hazard.OXYGEN,
        moment=Moment.HOSPITAL,
        water="hospital-1",
        fish=(PATIENT,),
        figure="hospital-1/oxygen/lowest",
        verdict=Verdict.WITHIN_LIMIT,
        chance=1.0,
        chance_counts=READINGS,
        until_harm="hospital-1/oxygen/until-emergency",
        limit=ALARM.model_copy(update={"value": 5.0, "row": "oxygen_levels/cyprinid/at rest/alarm"}),
    ),
    Judgement(
        id="hospital-1/temperature",
        hazard=Hazard.TEMPERATURE,
        moment=Moment.HOSPITAL,
        water="hospital-1",
        fish=(PATIENT,),
        figure="hospital-1/temperature/kept",
        verdict=Verdict.WITHIN_LIMIT,
        chance=1.0,
        chance_counts=READINGS,
        limit=WARMTH,
    ),
    Judgement(
        id="home-pond/conflict",
        hazard=Hazard.CONFLICT,
        moment=Moment.PROCEDURE,
        water="home-pond",
        fish=("other-1",),
        verdict=Verdict.REFUSED,
        why=(Why(code="must-not-meet", words={"first": "formalin", "second": "potassium permanganate"}),),
    ),
)

ACTIONS = (
    Action(
        id="prepare/measure/revival-1/chlorine",
        kind=Kind.MEASURE,
        moment=Moment.PREPARE,
        water="revival-1",
        who=Who.NURSE,
        by=at("10:30"),
        words={"quantity": "chlorine", "with": "drop kit"},
        answers=("revival-1/chlorine",),
    ),
    Action(
        id="prepare/neutralise/revival-1",
        kind=Kind.NEUTRALISE,
        moment=Moment.PREPARE,
        water="revival-1",
        who=Who.NURSE,
        by=at("10:30"),
        needs=("prepare/measure/revival-1/chlorine",),
        amounts={"mass": "hospital-1/thiosulphate/mass"},
        substance="thiosulphate",
        answers=("revival-1/chlorine",),
    ),
    Action(
        id="procedure/air/induction-1",
        kind=Kind.AIR,
        moment=Moment.PROCEDURE,
        water="induction-1",
        who=Who.NURSE,
        by=at("10:24"),
        amounts={"air flow": "induction-1/air/flow", "stones": "induction-1/air/stones"},
        answers=("induction-1/oxygen/before",),
        leads_to=("induction-1/oxygen",),
        worked_out_for={"volume": "low"},
    ),
    Action(
        id="procedure/dose/induction-1/tricaine",
        kind=Kind.DOSE,
        moment=Moment.PROCEDURE,
        water="induction-1",
        who=Who.NURSE,
        at=at("09:50"),
        needs=("procedure/air/induction-1",),
        amounts={
            "mass": "induction-1/tricaine/mass",
            "buffer": "induction-1/bicarbonate/mass",
            "level": "induction-1/tricaine",
        },
        substance="tricaine",
        words={"bottle": "powder", "use": "induction"},
        leads_to=("induction-1/oxygen",),
        worked_out_for={"volume": "low"},
        cautions=(Why(code="age-of-stock-not-known", words={"substance": "tricaine"}),),
    ),
    Action(
        id="procedure/injection/patient-1/flunixin",
        kind=Kind.INJECTION,
        moment=Moment.PROCEDURE,
        water=None,
        who=Who.VET,
        amounts={"draw": "patient-1/flunixin/draw", "dose": "patient-1/flunixin/dose"},
        substance="flunixin",
        words={"fish": PATIENT, "strength": "2.5 mg/mL"},
    ),
    Action(
        id="procedure/dose/home-pond/potassium permanganate",
        kind=Kind.DOSE,
        moment=Moment.PROCEDURE,
        water="home-pond",
        who=Who.OWNER,
        substance="potassium permanganate",
        answers=(),
        refused_because=(Why(code="must-not-meet", words={"first": "formalin", "second": "potassium permanganate"}),),
        instead=(
            Instead(
                kind=Kind.WAIT,
                because=(
                    Why(code="water-must-be-changed-first", words={"water": "home-pond", "substance": "formalin"}),
                ),
            ),
            Instead(kind=Kind.ASK, because=()),
        ),
    ),
    Action(
        id="hospital/warm/hospital-1",
        kind=Kind.WARM,
        moment=Moment.HOSPITAL,
        water="hospital-1",
        who=Who.NURSE,
        at=at("11:00"),
        amounts={"temperature": "hospital-1/temperature/kept", "step an hour": "hospital-1/temperature/step"},
        leads_to=("hospital-1/temperature",),
    ),
    Action(
        id="hospital/neutralise/hospital-1",
        kind=Kind.NEUTRALISE,
        moment=Moment.HOSPITAL,
        water="hospital-1",
        who=Who.NURSE,
        amounts={"mass": "hospital-1/thiosulphate/mass"},
        substance="thiosulphate",
        answers=("mains/chlorine",),
        costs=(Why(code="takes-oxygen", figures={"excess": "hospital-1/thiosulphate/excess"}),),
    ),
    Action(
        id="hospital/change/hospital-1",
        kind=Kind.CHANGE,
        moment=Moment.HOSPITAL,
        water="hospital-1",
        who=Who.NURSE,
        at=at("10:00", 15),
        until=at("10:00", 28),
        needs=("hospital/neutralise/hospital-1",),
        amounts={"volume": "hospital-1/change/volume", "salt": "hospital-1/salt/change"},
        parts=2,
        part_amounts={"volume": (115.0, 110.0)},
        every_h=24.0,
        source="mains",
        answers=("hospital-1/ammonia/before",),
        leads_to=("hospital-1/ammonia",),
    ),
    Action(
        id="hospital/salt/hospital-1",
        kind=Kind.SALT,
        moment=Moment.HOSPITAL,
        water="hospital-1",
        who=Who.NURSE,
        at=at("11:40"),
        amounts={"mass": "hospital-1/salt/mass", "level": "hospital-1/salt"},
        parts=3,
        part_amounts={"mass": (400.0, 400.0, 380.0)},
        every_h=12.0,
        substance="salt",
        worked_out_for={"volume": "low"},
        leads_to=("hospital-1/ammonia",),
    ),
    Action(
        id="call/stop feeding/home-pond",
        kind=Kind.STOP_FEEDING,
        moment=Moment.CALL,
        water="home-pond",
        who=Who.OWNER,
        until=at("10:00", 16),
    ),
    Action(
        id="call/people/home-pond",
        kind=Kind.PEOPLE,
        moment=Moment.CALL,
        water="home-pond",
        who=Who.OWNER,
        done=at("08:10"),
    ),
    Action(
        id="home/wait/home-pond",
        kind=Kind.WAIT,
        moment=Moment.HOME,
        water="home-pond",
        who=Who.OWNER,
        until=at("10:00", 29),
        words={"for": "formalin"},
    ),
    Action(
        id="recheck/ask/patient-1/stitches",
        kind=Kind.ASK,
        moment=Moment.RECHECK,
        water=None,
        who=Who.VET,
        at=at("09:00", 31),
        amounts={"stitches out on day": "patient-1/stitches/day"},
        words={"about": "stitches"},
    ),
)


def _moments():
    states = {
        Moment.CALL: (Readiness.NOT_KNOWN, ("home-pond/chlorine",)),
        Moment.PREPARE: (Readiness.NOT_READY, ("mains/chlorine",)),
        Moment.PROCEDURE: (Readiness.READY_IF_DONE, ("induction-1/oxygen",)),
        Moment.REVIVAL: (Readiness.NOT_READY, ("revival-1/chlorine",)),
        Moment.HOSPITAL: (Readiness.READY_IF_DONE, ("hospital-1/ammonia",)),
    }
    return tuple(
        MomentState(
            moment=moment,
            state=states.get(moment, (Readiness.READY, ()))[0],
            because=states.get(moment, (Readiness.READY, ()))[1],
            judgements=tuple(one.id for one in JUDGEMENTS if one.moment is moment),
            actions=tuple(one.id for one in ACTIONS if one.moment is moment),
        )
        for moment in Moment
    )


HOURS = tuple(float(hour) for hour in range(0, 49, 4))
SERIES = {
    "induction-1/oxygen/falling": Series(
        water="induction-1",
        quantity="oxygen",
        unit="mg/L",
        start=at("10:00"),
        hours=(0.0, 0.5, 1.0, 1.5),
        low=(8.6, 5.4, 3.0, 1.1),
        best=(8.9, 7.2, 5.7, 4.3),
        high=(9.2, 8.2, 7.3, 6.4),
        limit=6.0,
        as_planned=False,
    ),
    "hospital-1/ammonia": Series(
        water="hospital-1",
        quantity="un-ionised ammonia",
        unit="mg/L as N",
        start=at("11:40"),
        hours=HOURS,
        low=tuple(0.0001 * hour for hour in HOURS),
        best=tuple(0.0002 * hour for hour in HOURS),
        high=tuple(0.0003 * hour for hour in HOURS),
        limit=0.016,
    ),
    "hospital-1/temperature": Series(
        water="hospital-1",
        quantity="temperature",
        unit="°C",
        start=at("11:40"),
        hours=HOURS,
        low=(20.5,) * len(HOURS),
        best=(21.0,) * len(HOURS),
        high=(21.5,) * len(HOURS),
    ),
}

ROWS = {
    "van_spares/reagent": RowUsed(
        table="van_spares",
        words="what is added to reagents to spare",
        value=0.5,
        low=None,
        high=None,
        unit="fraction",
        printed="0.5 fraction",
        source="waterplan",
        locator="",
        status="judgement",
        reason="",
    ),
    "oxygen_levels/cyprinid/anaesthetised/alarm": RowUsed(
        table="oxygen_levels",
        words="alarm level of oxygen for an anaesthetised cyprinid",
        value=6.0,
        low=None,
        high=None,
        unit="mg/L",
        printed="mg/L",
        source="waterplan",
        locator="",
        status="judgement",
        reason="",
        decides=("induction-1/oxygen",),
    ),
    "water_limits/nh3/carp_like/limit": RowUsed(
        table="water_limits",
        words="un-ionised ammonia for carp-like fish",
        value=0.0164,
        low=None,
        high=None,
        unit="mg/L as N",
        printed="mg/L as NH3",
        source="tschv_2008",
        locator="Annex 2, table 7, holding",
        status="published",
        reason="law for carp-like fish",
    ),
}

PLAN = Plan(
    made=Made(
        version="0.2.0",
        tables="d956c9befc05",
        draws=256,
        seed=20260514,
        as_of=at("09:00"),
        operation_at=at("10:00"),
        invented=True,
    ),
    figures=FIGURES,
    fish=(
        Fish(
            id=PATIENT,
            name="Copper",
            species="goldfish",
            patient=True,
            count=1,
            weight="patient-1/weight",
            length="patient-1/length",
            done="heron wound on the left flank closed",
        ),
        Fish(id="other-1", name="", species="goldfish", patient=False, count=7),
    ),
    waters=WATERS,
    judgements=JUDGEMENTS,
    actions=ACTIONS,
    moments=_moments(),
    first_page=FirstPage(
        do_now=(
            "procedure/air/induction-1",
            "prepare/measure/revival-1/chlorine",
            "prepare/neutralise/revival-1",
            "hospital/neutralise/hospital-1",
            "hospital/change/hospital-1",
        ),
        and_more=2,
        measure_next=(
            MeasureNext(
                water="revival-1", quantity="chlorine", measured_with="drop kit", changes=("revival-1/chlorine",)
            ),
            MeasureNext(
                water="home-pond", quantity="chlorine", measured_with="drop kit", changes=("home-pond/chlorine",)
            ),
        ),
        have_ready=("induction-1/volume", "revival-1/volume", "induction-1/air/flow", "hospital-1/salt/mass"),
        refused=("procedure/dose/home-pond/potassium permanganate",),
    ),
    title={"place": "garden pond on a hillside"},
    written=(
        Written(section="patients", ordinal=1, key="name", text="Copper"),
        Written(section="patients", ordinal=1, key="weight", text="0.62 kg, scales"),
        Written(section="home_water", ordinal=1, key="oxygen", text="8.3 mg/L, oxygen meter"),
        Written(section="done", ordinal=1, key="at", text="2026-05-14T08:10+02:00"),
        Written(section="vessels", ordinal=1, key="name", text="white basin"),
        Written(section="vessels", ordinal=1, key="volume", text="25 L, marked tub"),
    ),
    read=(Read(taken=at("07:40"), water="home-pond", quantity="oxygen", text="8.3 mg/L, oxygen meter"),),
    days=tuple(
        Day(
            water="hospital-1",
            at=at("10:00", 14 + day),
            day=day,
            actions=("hospital/change/hospital-1", "hospital/salt/hospital-1") if day == 1 else (),
        )
        for day in range(1, 8)
    ),
    series=SERIES,
    grids={
        "hospital-1/ammonia/limit": Grid(
            columns=(7.0, 7.5, 8.0, 8.5),
            column_unit="pH",
            rows=(18.0, 21.0, 24.0),
            row_unit="°C",
            cells=((4.4, 1.4, 0.46, 0.16), (3.6, 1.1, 0.37, 0.13), (2.9, 0.93, 0.31, 0.11)),
            unit="mg/L as N",
            table_rows=("water_limits/nh3/carp_like/limit",),
        )
    },
    volumes=(
        VolumeFound(
            water="hospital-1",
            figure="hospital-1/volume",
            ways=(
                Way(by="rectangle", figure="hospital-1/volume", readings={"length": "1.40 m, tape"}),
                Way(
                    by="tracer",
                    refused=(Why(code="rise-too-small", words={"water": "hospital-1"}),),
                    readings={"before": "0.2 g/L"},
                ),
            ),
            agree=None,
            use_for={"oxygen": "hospital-1/volume", "salt": "hospital-1/volume"},
            outline_m=((0.0, 0.0), (1.4, 0.0), (1.4, 0.7), (0.0, 0.7)),
        ),
    ),
    van=(
        VanItem(part="water", what="litres", figure="induction-1/volume", waters=("induction-1",)),
        VanItem(
            part="reagent",
            what="thiosulphate",
            figure="van/thiosulphate",
            of=("hospital-1/thiosulphate/mass",),
            times=(1,),
            waters=("hospital-1",),
            spare="van_spares/reagent",
        ),
        VanItem(part="kit", what="pH meter", figure="van/pH meter"),
    ),
    rows=ROWS,
    sources={
        "waterplan": Source(who="this project", year="", title="planning default reasoned in the table"),
        "tschv_2008": Source(who="Swiss Federal Council", year="2008", title="Animal Protection Ordinance"),
        "epa_chlorine_1984": Source(
            who="US Environmental Protection Agency", year="1985", title="Ambient water quality criteria for chlorine"
        ),
        "yamanaka_2013": Source(who="Yamanaka and others", year="2013", title="Routine oxygen uptake of cyprinids"),
    },
)


def example_plan():
    """The plan, checked by its own model again."""
    return Plan.model_validate_json(PLAN.model_dump_json(by_alias=True))


if __name__ == "__main__":
    print(len(PLAN.figures), "figures")
