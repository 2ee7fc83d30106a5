"""Types of the public functions. Written by `python -m tests.stub` from the declarations: change those, not this file.

A call of plain numbers and words gives a float, or raises `InputError`. A call with an array gives an array, NaN where
an element is not allowed. Words are written as here; in a worksheet and at run time capitals do not matter.
"""

# A number is also one of the "numbers" of the second overload, and the first one then decides.
# mypy: disable-error-code="overload-overlap"

from collections.abc import Mapping, Sequence
from typing import Any, Literal, TypeAlias, overload

from numpy import float64, floating, integer
from numpy.typing import NDArray

from .errors import HydroError as HydroError
from .errors import InputError as InputError
from .registry import Function, Problem, Registry

__version__: str

def explain(name: str, *args: Any, **kwargs: Any) -> list[Problem]:
    """The problems of a call; an empty list where all is fine. Raises `InputError` where there is no such function."""

def find(name: str) -> Function:
    """The declared function called `name`, here or in a cell. Raises `InputError` where there is none."""

def functions() -> Registry:
    """The declared functions by name, in the order in which the job is done."""

_Number: TypeAlias = float | floating[Any] | integer[Any]
_List: TypeAlias = Sequence[float] | NDArray[Any]
_Numbers: TypeAlias = _Number | _List | Sequence[Sequence[float]]
_Lists: TypeAlias = _List | Sequence[Sequence[float]]
_Array: TypeAlias = NDArray[float64]

class _Density(Function):
    @overload
    def __call__(self, temperature: _Number) -> float:
        """Density of fresh water at atmospheric pressure. Result: kg/m³."""
    @overload
    def __call__(self, temperature: _Numbers) -> _Array: ...

density: _Density

class _KinematicViscosity(Function):
    @overload
    def __call__(self, temperature: _Number) -> float:
        """Kinematic viscosity of fresh water; cold water is thicker. Result: mm²/s."""
    @overload
    def __call__(self, temperature: _Numbers) -> _Array: ...

kinematic_viscosity: _KinematicViscosity

class _VapourPressure(Function):
    @overload
    def __call__(self, temperature: _Number) -> float:
        """Absolute pressure at which water of this temperature boils. Result: bar."""
    @overload
    def __call__(self, temperature: _Numbers) -> _Array: ...

vapour_pressure: _VapourPressure

class _Gravity(Function):
    @overload
    def __call__(self, latitude: _Number, altitude: _Number = ...) -> float:
        """Gravitational acceleration at a latitude and altitude. Result: m/s²."""
    @overload
    def __call__(self, latitude: _Numbers, altitude: _Numbers = ...) -> _Array: ...

gravity: _Gravity

class _AirPressure(Function):
    @overload
    def __call__(self, altitude: _Number) -> float:
        """Mean air pressure at an altitude. Result: bar."""
    @overload
    def __call__(self, altitude: _Numbers) -> _Array: ...

air_pressure: _AirPressure

class _StaticHead(Function):
    @overload
    def __call__(
        self, static_pressure: _Number, gauge_height: _Number = ..., temperature: _Number = ..., gravity: _Number = ...
    ) -> float:
        """Gross head above the nozzle, from a gauge with the valve shut and the pipe full. Result: m."""
    @overload
    def __call__(
        self,
        static_pressure: _Numbers,
        gauge_height: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
    ) -> _Array: ...

static_head: _StaticHead

class _StaticPressure(Function):
    @overload
    def __call__(self, head: _Number, temperature: _Number = ..., gravity: _Number = ...) -> float:
        """Gauge pressure at the foot of a column of water at rest. Result: bar."""
    @overload
    def __call__(self, head: _Numbers, temperature: _Numbers = ..., gravity: _Numbers = ...) -> _Array: ...

static_pressure: _StaticPressure

class _BucketFlow(Function):
    @overload
    def __call__(self, volume: _Number, seconds: _Number) -> float:
        """Flow from the time a bucket takes to fill. Result: L/s."""
    @overload
    def __call__(self, volume: _Numbers, seconds: _Numbers) -> _Array: ...

bucket_flow: _BucketFlow

class _VnotchFlow(Function):
    @overload
    def __call__(self, weir_head: _Number, notch_angle: _Number = ..., gravity: _Number = ...) -> float:
        """Flow over a thin-plate V-notch weir, fully contracted (Kindsvater-Shen). Result: L/s."""
    @overload
    def __call__(self, weir_head: _Numbers, notch_angle: _Numbers = ..., gravity: _Numbers = ...) -> _Array: ...

vnotch_flow: _VnotchFlow

class _RectangularWeirFlow(Function):
    @overload
    def __call__(
        self, weir_head: _Number, crest_width: _Number, channel_width: _Number, crest_height: _Number
    ) -> float:
        """Flow over a thin-plate rectangular weir (Kindsvater-Carter). Result: L/s."""
    @overload
    def __call__(
        self, weir_head: _Numbers, crest_width: _Numbers, channel_width: _Numbers, crest_height: _Numbers
    ) -> _Array: ...

rectangular_weir_flow: _RectangularWeirFlow

class _HydraulicPower(Function):
    @overload
    def __call__(self, flow: _Number, head: _Number, temperature: _Number = ..., gravity: _Number = ...) -> float:
        """Power of a flow that falls through a head. Result: W."""
    @overload
    def __call__(
        self, flow: _Numbers, head: _Numbers, temperature: _Numbers = ..., gravity: _Numbers = ...
    ) -> _Array: ...

hydraulic_power: _HydraulicPower

class _FlowExceeded(Function):
    @overload
    def __call__(self, flows: Sequence[float], time_share: _Number) -> float:
        """Flow that a record reaches or exceeds for a share of the time: its flow-duration curve. n values say nothing beyond 100/(n+1) and 100 n/(n+1) %. Result: L/s."""
    @overload
    def __call__(self, flows: _Lists, time_share: _Numbers) -> float | _Array: ...

flow_exceeded: _FlowExceeded

class _TankRunningTime(Function):
    @overload
    def __call__(self, tank_volume: _Number, flow: _Number, inflow: _Number) -> float:
        """How long a full tank feeds the jet while its inflow goes on. Result: h."""
    @overload
    def __call__(self, tank_volume: _Numbers, flow: _Numbers, inflow: _Numbers) -> _Array: ...

tank_running_time: _TankRunningTime

class _TankRefillTime(Function):
    @overload
    def __call__(self, tank_volume: _Number, inflow: _Number) -> float:
        """How long an empty tank takes to fill while the jet is shut. Result: h."""
    @overload
    def __call__(self, tank_volume: _Numbers, inflow: _Numbers) -> _Array: ...

tank_refill_time: _TankRefillTime

class _TankRuns(Function):
    @overload
    def __call__(self, tank_volume: _Number, flow: _Number, inflow: _Number) -> float:
        """Starts of the jet in a day, if it empties the tank, waits until it is full, and begins again."""
    @overload
    def __call__(self, tank_volume: _Numbers, flow: _Numbers, inflow: _Numbers) -> _Array: ...

tank_runs: _TankRuns

class _TankEmptyingTime(Function):
    @overload
    def __call__(
        self,
        tank_area: _Number,
        hole: _Number,
        water_depth: _Number,
        final_depth: _Number = ...,
        discharge_coefficient: _Number = ...,
        gravity: _Number = ...,
    ) -> float:
        """Time for a tank with upright walls to drain through a hole, no water coming in. Result: min."""
    @overload
    def __call__(
        self,
        tank_area: _Numbers,
        hole: _Numbers,
        water_depth: _Numbers,
        final_depth: _Numbers = ...,
        discharge_coefficient: _Numbers = ...,
        gravity: _Numbers = ...,
    ) -> _Array: ...

tank_emptying_time: _TankEmptyingTime

class _PipeVelocity(Function):
    @overload
    def __call__(self, flow: _Number, bore: _Number) -> float:
        """Mean velocity of the water in a pipe running full. Result: m/s."""
    @overload
    def __call__(self, flow: _Numbers, bore: _Numbers) -> _Array: ...

pipe_velocity: _PipeVelocity

class _ReynoldsNumber(Function):
    @overload
    def __call__(self, flow: _Number, bore: _Number, temperature: _Number = ...) -> float:
        """Reynolds number in a full pipe: laminar below 2000, turbulent above 2600."""
    @overload
    def __call__(self, flow: _Numbers, bore: _Numbers, temperature: _Numbers = ...) -> _Array: ...

reynolds_number: _ReynoldsNumber

class _FrictionFactor(Function):
    @overload
    def __call__(self, reynolds_number: _Number, relative_roughness: _Number) -> float:
        """Darcy (Moody) friction factor: 64/Re to Re 2000, Colebrook-White from 2600, ln f straight in ln Re between."""
    @overload
    def __call__(self, reynolds_number: _Numbers, relative_roughness: _Numbers) -> _Array: ...

friction_factor: _FrictionFactor

class _FrictionHead(Function):
    @overload
    def __call__(
        self,
        flow: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        temperature: _Number = ...,
        gravity: _Number = ...,
    ) -> float:
        """Head lost to wall friction in a full, straight pipe. Result: m."""
    @overload
    def __call__(
        self,
        flow: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
    ) -> _Array: ...

friction_head: _FrictionHead

class _HazenWilliamsHead(Function):
    @overload
    def __call__(self, flow: _Number, length: _Number, bore: _Number, coefficient: _Number) -> float:
        """Head lost to friction by the rule of Hazen and Williams; rougher than FRICTION_HEAD. Result: m."""
    @overload
    def __call__(self, flow: _Numbers, length: _Numbers, bore: _Numbers, coefficient: _Numbers) -> _Array: ...

hazen_williams_head: _HazenWilliamsHead

class _MinorHead(Function):
    @overload
    def __call__(self, flow: _Number, bore: _Number, fittings: _Number, gravity: _Number = ...) -> float:
        """Head lost in fittings, from their summed loss coefficient. Result: m."""
    @overload
    def __call__(self, flow: _Numbers, bore: _Numbers, fittings: _Numbers, gravity: _Numbers = ...) -> _Array: ...

minor_head: _MinorHead

class _PenstockHead(Function):
    @overload
    def __call__(
        self,
        flow: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        fittings: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
    ) -> float:
        """Head lost in up to three pipe sections in series and the fittings of the first. Result: m."""
    @overload
    def __call__(
        self,
        flow: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        fittings: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
    ) -> _Array: ...

penstock_head: _PenstockHead

class _FlowForLoss(Function):
    @overload
    def __call__(
        self,
        head_loss: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        fittings: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
    ) -> float:
        """Flow that loses a given head in one pipe and its fittings: the inverse of PENSTOCK_HEAD. Result: L/s."""
    @overload
    def __call__(
        self,
        head_loss: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        fittings: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
    ) -> _Array: ...

flow_for_loss: _FlowForLoss

class _FittingLoss(Function):
    @overload
    def __call__(
        self,
        fitting: Literal[
            "sharp entrance",
            "rounded entrance",
            "projecting entrance",
            "exit",
            "gate valve",
            "ball valve",
            "globe valve",
            "swing check valve",
            "90 elbow",
            "45 elbow",
            "long bend",
            "tee run",
            "tee branch",
        ],
        bore: _Number,
    ) -> float:
        """Loss coefficient K of an entrance, bend, tee or open valve."""
    @overload
    def __call__(
        self,
        fitting: Literal[
            "sharp entrance",
            "rounded entrance",
            "projecting entrance",
            "exit",
            "gate valve",
            "ball valve",
            "globe valve",
            "swing check valve",
            "90 elbow",
            "45 elbow",
            "long bend",
            "tee run",
            "tee branch",
        ]
        | Sequence[
            Literal[
                "sharp entrance",
                "rounded entrance",
                "projecting entrance",
                "exit",
                "gate valve",
                "ball valve",
                "globe valve",
                "swing check valve",
                "90 elbow",
                "45 elbow",
                "long bend",
                "tee run",
                "tee branch",
            ]
        ]
        | NDArray[Any],
        bore: _Numbers,
    ) -> _Array: ...

fitting_loss: _FittingLoss

class _SuddenContractionLoss(Function):
    @overload
    def __call__(self, bore: _Number, bore_2: _Number) -> float:
        """Loss coefficient K of a step down in bore; it goes with the smaller bore's velocity."""
    @overload
    def __call__(self, bore: _Numbers, bore_2: _Numbers) -> _Array: ...

sudden_contraction_loss: _SuddenContractionLoss

class _SuddenExpansionLoss(Function):
    @overload
    def __call__(self, bore: _Number, bore_2: _Number) -> float:
        """Loss coefficient K of a step up in bore; it goes with the smaller bore's velocity."""
    @overload
    def __call__(self, bore: _Numbers, bore_2: _Numbers) -> _Array: ...

sudden_expansion_loss: _SuddenExpansionLoss

class _Roughness(Function):
    @overload
    def __call__(
        self,
        material: Literal[
            "polyethylene", "pvc", "steel", "galvanised steel", "cast iron", "copper", "smooth hose", "ribbed hose"
        ],
        condition: Literal["new", "used", "fouled"] = ...,
    ) -> float:
        """Absolute roughness of a pipe wall by material and condition. Result: mm."""
    @overload
    def __call__(
        self,
        material: Literal[
            "polyethylene", "pvc", "steel", "galvanised steel", "cast iron", "copper", "smooth hose", "ribbed hose"
        ]
        | Sequence[
            Literal[
                "polyethylene", "pvc", "steel", "galvanised steel", "cast iron", "copper", "smooth hose", "ribbed hose"
            ]
        ]
        | NDArray[Any],
        condition: Literal["new", "used", "fouled"] | Sequence[Literal["new", "used", "fouled"]] | NDArray[Any] = ...,
    ) -> _Array: ...

roughness: _Roughness

class _HazenWilliamsCoefficient(Function):
    @overload
    def __call__(
        self, material: Literal["polyethylene", "pvc", "copper", "steel", "galvanised steel", "cast iron"]
    ) -> float:
        """Hazen-Williams coefficient C of new pipe."""
    @overload
    def __call__(
        self,
        material: Literal["polyethylene", "pvc", "copper", "steel", "galvanised steel", "cast iron"]
        | Sequence[Literal["polyethylene", "pvc", "copper", "steel", "galvanised steel", "cast iron"]]
        | NDArray[Any],
    ) -> _Array: ...

hazen_williams_coefficient: _HazenWilliamsCoefficient

class _NextPipeBore(Function):
    @overload
    def __call__(
        self,
        pipe_standard: Literal["en 10255", "asme b36.10", "pe100 iso 4427", "pvc-u iso 1452"],
        pipe_class: Literal["medium", "heavy", "sch 40", "sch 80", "sdr 11", "sdr 17", "pn 10", "pn 16"],
        bore: _Number,
        direction: Literal["wider", "narrower"] = ...,
    ) -> float:
        """Inside diameter of the pipe one size wider or narrower, in the same standard and class. Result: mm."""
    @overload
    def __call__(
        self,
        pipe_standard: Literal["en 10255", "asme b36.10", "pe100 iso 4427", "pvc-u iso 1452"]
        | Sequence[Literal["en 10255", "asme b36.10", "pe100 iso 4427", "pvc-u iso 1452"]]
        | NDArray[Any],
        pipe_class: Literal["medium", "heavy", "sch 40", "sch 80", "sdr 11", "sdr 17", "pn 10", "pn 16"]
        | Sequence[Literal["medium", "heavy", "sch 40", "sch 80", "sdr 11", "sdr 17", "pn 10", "pn 16"]]
        | NDArray[Any],
        bore: _Numbers,
        direction: Literal["wider", "narrower"] | Sequence[Literal["wider", "narrower"]] | NDArray[Any] = ...,
    ) -> _Array: ...

next_pipe_bore: _NextPipeBore

class _NextPipeOutside(Function):
    @overload
    def __call__(
        self,
        pipe_standard: Literal["en 10255", "asme b36.10", "pe100 iso 4427", "pvc-u iso 1452"],
        pipe_class: Literal["medium", "heavy", "sch 40", "sch 80", "sdr 11", "sdr 17", "pn 10", "pn 16"],
        bore: _Number,
        direction: Literal["wider", "narrower"] = ...,
    ) -> float:
        """Outside diameter of the pipe one size wider or narrower, in the same standard and class. Result: mm."""
    @overload
    def __call__(
        self,
        pipe_standard: Literal["en 10255", "asme b36.10", "pe100 iso 4427", "pvc-u iso 1452"]
        | Sequence[Literal["en 10255", "asme b36.10", "pe100 iso 4427", "pvc-u iso 1452"]]
        | NDArray[Any],
        pipe_class: Literal["medium", "heavy", "sch 40", "sch 80", "sdr 11", "sdr 17", "pn 10", "pn 16"]
        | Sequence[Literal["medium", "heavy", "sch 40", "sch 80", "sdr 11", "sdr 17", "pn 10", "pn 16"]]
        | NDArray[Any],
        bore: _Numbers,
        direction: Literal["wider", "narrower"] | Sequence[Literal["wider", "narrower"]] | NDArray[Any] = ...,
    ) -> _Array: ...

next_pipe_outside: _NextPipeOutside

class _PipeBore(Function):
    @overload
    def __call__(
        self,
        pipe_standard: Literal["en 10255", "asme b36.10", "pe100 iso 4427", "pvc-u iso 1452"],
        size: Literal[
            "1/2",
            "3/4",
            "1",
            "1 1/4",
            "1 1/2",
            "2",
            "2 1/2",
            "3",
            "4",
            "20",
            "25",
            "32",
            "40",
            "50",
            "63",
            "75",
            "90",
            "110",
            "15",
            "65",
            "80",
            "100",
            1,
            2,
            3,
            4,
            20,
            25,
            32,
            40,
            50,
            63,
            75,
            90,
            110,
            15,
            65,
            80,
            100,
        ],
        pipe_class: Literal["medium", "heavy", "sch 40", "sch 80", "sdr 11", "sdr 17", "pn 10", "pn 16"],
    ) -> float:
        """Inside diameter of a pipe by standard, size and class. Result: mm."""
    @overload
    def __call__(
        self,
        pipe_standard: Literal["en 10255", "asme b36.10", "pe100 iso 4427", "pvc-u iso 1452"]
        | Sequence[Literal["en 10255", "asme b36.10", "pe100 iso 4427", "pvc-u iso 1452"]]
        | NDArray[Any],
        size: Literal[
            "1/2",
            "3/4",
            "1",
            "1 1/4",
            "1 1/2",
            "2",
            "2 1/2",
            "3",
            "4",
            "20",
            "25",
            "32",
            "40",
            "50",
            "63",
            "75",
            "90",
            "110",
            "15",
            "65",
            "80",
            "100",
            1,
            2,
            3,
            4,
            20,
            25,
            32,
            40,
            50,
            63,
            75,
            90,
            110,
            15,
            65,
            80,
            100,
        ]
        | Sequence[
            Literal[
                "1/2",
                "3/4",
                "1",
                "1 1/4",
                "1 1/2",
                "2",
                "2 1/2",
                "3",
                "4",
                "20",
                "25",
                "32",
                "40",
                "50",
                "63",
                "75",
                "90",
                "110",
                "15",
                "65",
                "80",
                "100",
                1,
                2,
                3,
                4,
                20,
                25,
                32,
                40,
                50,
                63,
                75,
                90,
                110,
                15,
                65,
                80,
                100,
            ]
        ]
        | NDArray[Any],
        pipe_class: Literal["medium", "heavy", "sch 40", "sch 80", "sdr 11", "sdr 17", "pn 10", "pn 16"]
        | Sequence[Literal["medium", "heavy", "sch 40", "sch 80", "sdr 11", "sdr 17", "pn 10", "pn 16"]]
        | NDArray[Any],
    ) -> _Array: ...

pipe_bore: _PipeBore

class _PipeWall(Function):
    @overload
    def __call__(
        self,
        pipe_standard: Literal["en 10255", "asme b36.10", "pe100 iso 4427", "pvc-u iso 1452"],
        size: Literal[
            "1/2",
            "3/4",
            "1",
            "1 1/4",
            "1 1/2",
            "2",
            "2 1/2",
            "3",
            "4",
            "20",
            "25",
            "32",
            "40",
            "50",
            "63",
            "75",
            "90",
            "110",
            "15",
            "65",
            "80",
            "100",
            1,
            2,
            3,
            4,
            20,
            25,
            32,
            40,
            50,
            63,
            75,
            90,
            110,
            15,
            65,
            80,
            100,
        ],
        pipe_class: Literal["medium", "heavy", "sch 40", "sch 80", "sdr 11", "sdr 17", "pn 10", "pn 16"],
    ) -> float:
        """Wall thickness of a pipe by standard, size and class. Result: mm."""
    @overload
    def __call__(
        self,
        pipe_standard: Literal["en 10255", "asme b36.10", "pe100 iso 4427", "pvc-u iso 1452"]
        | Sequence[Literal["en 10255", "asme b36.10", "pe100 iso 4427", "pvc-u iso 1452"]]
        | NDArray[Any],
        size: Literal[
            "1/2",
            "3/4",
            "1",
            "1 1/4",
            "1 1/2",
            "2",
            "2 1/2",
            "3",
            "4",
            "20",
            "25",
            "32",
            "40",
            "50",
            "63",
            "75",
            "90",
            "110",
            "15",
            "65",
            "80",
            "100",
            1,
            2,
            3,
            4,
            20,
            25,
            32,
            40,
            50,
            63,
            75,
            90,
            110,
            15,
            65,
            80,
            100,
        ]
        | Sequence[
            Literal[
                "1/2",
                "3/4",
                "1",
                "1 1/4",
                "1 1/2",
                "2",
                "2 1/2",
                "3",
                "4",
                "20",
                "25",
                "32",
                "40",
                "50",
                "63",
                "75",
                "90",
                "110",
                "15",
                "65",
                "80",
                "100",
                1,
                2,
                3,
                4,
                20,
                25,
                32,
                40,
                50,
                63,
                75,
                90,
                110,
                15,
                65,
                80,
                100,
            ]
        ]
        | NDArray[Any],
        pipe_class: Literal["medium", "heavy", "sch 40", "sch 80", "sdr 11", "sdr 17", "pn 10", "pn 16"]
        | Sequence[Literal["medium", "heavy", "sch 40", "sch 80", "sdr 11", "sdr 17", "pn 10", "pn 16"]]
        | NDArray[Any],
    ) -> _Array: ...

pipe_wall: _PipeWall

class _PipeOutside(Function):
    @overload
    def __call__(
        self,
        pipe_standard: Literal["en 10255", "asme b36.10", "pe100 iso 4427", "pvc-u iso 1452"],
        size: Literal[
            "1/2",
            "3/4",
            "1",
            "1 1/4",
            "1 1/2",
            "2",
            "2 1/2",
            "3",
            "4",
            "20",
            "25",
            "32",
            "40",
            "50",
            "63",
            "75",
            "90",
            "110",
            "15",
            "65",
            "80",
            "100",
            1,
            2,
            3,
            4,
            20,
            25,
            32,
            40,
            50,
            63,
            75,
            90,
            110,
            15,
            65,
            80,
            100,
        ],
        pipe_class: Literal["medium", "heavy", "sch 40", "sch 80", "sdr 11", "sdr 17", "pn 10", "pn 16"],
    ) -> float:
        """Outside diameter of a pipe by standard, size and class. Result: mm."""
    @overload
    def __call__(
        self,
        pipe_standard: Literal["en 10255", "asme b36.10", "pe100 iso 4427", "pvc-u iso 1452"]
        | Sequence[Literal["en 10255", "asme b36.10", "pe100 iso 4427", "pvc-u iso 1452"]]
        | NDArray[Any],
        size: Literal[
            "1/2",
            "3/4",
            "1",
            "1 1/4",
            "1 1/2",
            "2",
            "2 1/2",
            "3",
            "4",
            "20",
            "25",
            "32",
            "40",
            "50",
            "63",
            "75",
            "90",
            "110",
            "15",
            "65",
            "80",
            "100",
            1,
            2,
            3,
            4,
            20,
            25,
            32,
            40,
            50,
            63,
            75,
            90,
            110,
            15,
            65,
            80,
            100,
        ]
        | Sequence[
            Literal[
                "1/2",
                "3/4",
                "1",
                "1 1/4",
                "1 1/2",
                "2",
                "2 1/2",
                "3",
                "4",
                "20",
                "25",
                "32",
                "40",
                "50",
                "63",
                "75",
                "90",
                "110",
                "15",
                "65",
                "80",
                "100",
                1,
                2,
                3,
                4,
                20,
                25,
                32,
                40,
                50,
                63,
                75,
                90,
                110,
                15,
                65,
                80,
                100,
            ]
        ]
        | NDArray[Any],
        pipe_class: Literal["medium", "heavy", "sch 40", "sch 80", "sdr 11", "sdr 17", "pn 10", "pn 16"]
        | Sequence[Literal["medium", "heavy", "sch 40", "sch 80", "sdr 11", "sdr 17", "pn 10", "pn 16"]]
        | NDArray[Any],
    ) -> _Array: ...

pipe_outside: _PipeOutside

class _LostHeadAt(Function):
    @overload
    def __call__(
        self,
        chainage: _Number,
        flow: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        fittings: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
    ) -> float:
        """Head lost from the intake to a point of the pipe; all fittings count from just below the intake. Result: m."""
    @overload
    def __call__(
        self,
        chainage: _Numbers,
        flow: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        fittings: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
    ) -> _Array: ...

lost_head_at: _LostHeadAt

class _BoreAt(Function):
    @overload
    def __call__(
        self,
        chainage: _Number,
        length: _Number,
        bore: _Number,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
    ) -> float:
        """Bore of the pipe section in which a chainage lies. Result: mm."""
    @overload
    def __call__(
        self,
        chainage: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
    ) -> _Array: ...

bore_at: _BoreAt

class _VelocityHead(Function):
    @overload
    def __call__(self, flow: _Number, bore: _Number, gravity: _Number = ...) -> float:
        """Head that is in the movement of the water in a full pipe. Result: m."""
    @overload
    def __call__(self, flow: _Numbers, bore: _Numbers, gravity: _Numbers = ...) -> _Array: ...

velocity_head: _VelocityHead

class _GaugePressure(Function):
    @overload
    def __call__(self, line_above: _Number, temperature: _Number = ..., gravity: _Number = ...) -> float:
        """Gauge pressure in a pipe from the height of its grade line above it; negative where the pipe stands above the line. Result: bar."""
    @overload
    def __call__(self, line_above: _Numbers, temperature: _Numbers = ..., gravity: _Numbers = ...) -> _Array: ...

gauge_pressure: _GaugePressure

class _AvailableSuction(Function):
    @overload
    def __call__(
        self, altitude: _Number, temperature: _Number = ..., gravity: _Number = ..., margin: _Number = ...
    ) -> float:
        """How far a pipe may stand above its grade line before the water in it boils. Result: m."""
    @overload
    def __call__(
        self, altitude: _Numbers, temperature: _Numbers = ..., gravity: _Numbers = ..., margin: _Numbers = ...
    ) -> _Array: ...

available_suction: _AvailableSuction

class _BulkModulus(Function):
    @overload
    def __call__(self, temperature: _Number = ...) -> float:
        """Bulk modulus of fresh water without bubbles: how little it can be squeezed. Result: GPa."""
    @overload
    def __call__(self, temperature: _Numbers = ...) -> _Array: ...

bulk_modulus: _BulkModulus

class _WaveSpeed(Function):
    @overload
    def __call__(
        self,
        bore: _Number,
        wall: _Number,
        elastic_modulus: _Number,
        poisson_ratio: _Number = ...,
        support: Literal["expansion joints", "anchored upstream", "anchored throughout"] = ...,
        bulk_modulus: _Number = ...,
        density: _Number = ...,
    ) -> float:
        """Speed of a pressure wave in a pipe full of water; soft pipe is slow and surges less. Result: m/s."""
    @overload
    def __call__(
        self,
        bore: _Numbers,
        wall: _Numbers,
        elastic_modulus: _Numbers,
        poisson_ratio: _Numbers = ...,
        support: Literal["expansion joints", "anchored upstream", "anchored throughout"]
        | Sequence[Literal["expansion joints", "anchored upstream", "anchored throughout"]]
        | NDArray[Any] = ...,
        bulk_modulus: _Numbers = ...,
        density: _Numbers = ...,
    ) -> _Array: ...

wave_speed: _WaveSpeed

class _CriticalTime(Function):
    @overload
    def __call__(
        self,
        length: _Number,
        wave_speed: _Number,
        length_2: _Number = ...,
        wave_speed_2: _Number = ...,
        length_3: _Number = ...,
        wave_speed_3: _Number = ...,
    ) -> float:
        """Time a wave takes to the intake and back: stopping the flow in less is a sudden stop. Result: s."""
    @overload
    def __call__(
        self,
        length: _Numbers,
        wave_speed: _Numbers,
        length_2: _Numbers = ...,
        wave_speed_2: _Numbers = ...,
        length_3: _Numbers = ...,
        wave_speed_3: _Numbers = ...,
    ) -> _Array: ...

critical_time: _CriticalTime

class _SurgePressure(Function):
    @overload
    def __call__(
        self,
        flow: _Number,
        closing_time: _Number,
        length: _Number,
        bore: _Number,
        wave_speed: _Number,
        density: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        wave_speed_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        wave_speed_3: _Number = ...,
        chainage: _Number = ...,
    ) -> float:
        """Pressure rise when the flow is stopped at the lower end: sudden (Joukowsky) or slow (Michaud). Result: bar."""
    @overload
    def __call__(
        self,
        flow: _Numbers,
        closing_time: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        wave_speed: _Numbers,
        density: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        wave_speed_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        wave_speed_3: _Numbers = ...,
        chainage: _Numbers = ...,
    ) -> _Array: ...

surge_pressure: _SurgePressure

class _StoppingTime(Function):
    @overload
    def __call__(
        self,
        valve_time: _Number,
        nozzle: _Number,
        bore: _Number,
        net_head: _Number,
        peak_head: _Number,
        jets: _Number = ...,
        contraction: _Number = ...,
    ) -> float:
        """Time in which a valve before the nozzles really stops the flow: the last part of its travel. Result: s."""
    @overload
    def __call__(
        self,
        valve_time: _Numbers,
        nozzle: _Numbers,
        bore: _Numbers,
        net_head: _Numbers,
        peak_head: _Numbers,
        jets: _Numbers = ...,
        contraction: _Numbers = ...,
    ) -> _Array: ...

stopping_time: _StoppingTime

class _SafeClosingTime(Function):
    @overload
    def __call__(
        self,
        surge_allowed: _Number,
        flow: _Number,
        length: _Number,
        bore: _Number,
        wave_speed: _Number,
        density: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        wave_speed_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        wave_speed_3: _Number = ...,
    ) -> float:
        """Shortest time in which the flow may be stopped for a pressure rise that is allowed. Result: s."""
    @overload
    def __call__(
        self,
        surge_allowed: _Numbers,
        flow: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        wave_speed: _Numbers,
        density: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        wave_speed_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        wave_speed_3: _Numbers = ...,
    ) -> _Array: ...

safe_closing_time: _SafeClosingTime

class _FullSurgeLength(Function):
    @overload
    def __call__(
        self,
        closing_time: _Number,
        length: _Number,
        wave_speed: _Number,
        length_2: _Number = ...,
        wave_speed_2: _Number = ...,
        length_3: _Number = ...,
        wave_speed_3: _Number = ...,
    ) -> float:
        """Length of pipe, from its lower end, that feels the whole sudden stop. Result: m."""
    @overload
    def __call__(
        self,
        closing_time: _Numbers,
        length: _Numbers,
        wave_speed: _Numbers,
        length_2: _Numbers = ...,
        wave_speed_2: _Numbers = ...,
        length_3: _Numbers = ...,
        wave_speed_3: _Numbers = ...,
    ) -> _Array: ...

full_surge_length: _FullSurgeLength

class _StartingTime(Function):
    @overload
    def __call__(
        self,
        share: _Number,
        flow: _Number,
        gross_head: _Number,
        length: _Number,
        bore: _Number,
        gravity: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
    ) -> float:
        """Time in which the water in the pipe comes up to a share of its final flow. Result: s."""
    @overload
    def __call__(
        self,
        share: _Numbers,
        flow: _Numbers,
        gross_head: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        gravity: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
    ) -> _Array: ...

starting_time: _StartingTime

class _ElasticModulus(Function):
    @overload
    def __call__(
        self,
        material: Literal["polyethylene", "pvc", "copper", "steel", "galvanised steel", "cast iron"],
        duration: Literal["short", "long"] = ...,
    ) -> float:
        """Elastic modulus of a pipe material for loads of a moment or of years. Result: GPa."""
    @overload
    def __call__(
        self,
        material: Literal["polyethylene", "pvc", "copper", "steel", "galvanised steel", "cast iron"]
        | Sequence[Literal["polyethylene", "pvc", "copper", "steel", "galvanised steel", "cast iron"]]
        | NDArray[Any],
        duration: Literal["short", "long"] | Sequence[Literal["short", "long"]] | NDArray[Any] = ...,
    ) -> _Array: ...

elastic_modulus: _ElasticModulus

class _PoissonRatio(Function):
    @overload
    def __call__(
        self, material: Literal["polyethylene", "pvc", "copper", "steel", "galvanised steel", "cast iron"]
    ) -> float:
        """Poisson's ratio of a pipe material."""
    @overload
    def __call__(
        self,
        material: Literal["polyethylene", "pvc", "copper", "steel", "galvanised steel", "cast iron"]
        | Sequence[Literal["polyethylene", "pvc", "copper", "steel", "galvanised steel", "cast iron"]]
        | NDArray[Any],
    ) -> _Array: ...

poisson_ratio: _PoissonRatio

class _DesignStress(Function):
    @overload
    def __call__(
        self, material: Literal["polyethylene", "pvc", "copper", "steel", "galvanised steel", "cast iron"]
    ) -> float:
        """Stress a pipe wall may bear for its life at 20 °C; plastics: MRS over design factor. Result: MPa."""
    @overload
    def __call__(
        self,
        material: Literal["polyethylene", "pvc", "copper", "steel", "galvanised steel", "cast iron"]
        | Sequence[Literal["polyethylene", "pvc", "copper", "steel", "galvanised steel", "cast iron"]]
        | NDArray[Any],
    ) -> _Array: ...

design_stress: _DesignStress

class _TemperatureFactor(Function):
    @overload
    def __call__(
        self,
        material: Literal["polyethylene", "pvc", "copper", "steel", "galvanised steel", "cast iron"],
        wall_temperature: _Number,
    ) -> float:
        """Share of its pressure rating that a pipe keeps when its wall is warm."""
    @overload
    def __call__(
        self,
        material: Literal["polyethylene", "pvc", "copper", "steel", "galvanised steel", "cast iron"]
        | Sequence[Literal["polyethylene", "pvc", "copper", "steel", "galvanised steel", "cast iron"]]
        | NDArray[Any],
        wall_temperature: _Numbers,
    ) -> _Array: ...

temperature_factor: _TemperatureFactor

class _HoopStress(Function):
    @overload
    def __call__(
        self, pressure: _Number, outside: _Number, wall: _Number, method: Literal["barlow", "bore", "lame"] = ...
    ) -> float:
        """Stress around the wall of a pipe under pressure. Result: MPa."""
    @overload
    def __call__(
        self,
        pressure: _Numbers,
        outside: _Numbers,
        wall: _Numbers,
        method: Literal["barlow", "bore", "lame"] | Sequence[Literal["barlow", "bore", "lame"]] | NDArray[Any] = ...,
    ) -> _Array: ...

hoop_stress: _HoopStress

class _WallPressure(Function):
    @overload
    def __call__(self, outside: _Number, wall: _Number, design_stress: _Number) -> float:
        """Pressure a pipe wall stands at its design stress: the pressure class of plastic pipe by its SDR. Result: bar."""
    @overload
    def __call__(self, outside: _Numbers, wall: _Numbers, design_stress: _Numbers) -> _Array: ...

wall_pressure: _WallPressure

class _PipeVolume(Function):
    @overload
    def __call__(
        self,
        length: _Number,
        bore: _Number,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
    ) -> float:
        """Water that a pipe of up to three sections holds. Result: L."""
    @overload
    def __call__(
        self,
        length: _Numbers,
        bore: _Numbers,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
    ) -> _Array: ...

pipe_volume: _PipeVolume

class _EndForce(Function):
    @overload
    def __call__(self, pressure: _Number, outside: _Number) -> float:
        """Push of a pressure on a cap, closed valve or plugged nozzle, over the whole outside of the pipe. Result: N."""
    @overload
    def __call__(self, pressure: _Numbers, outside: _Numbers) -> _Array: ...

end_force: _EndForce

class _BendForce(Function):
    @overload
    def __call__(
        self, pressure: _Number, flow: _Number, outside: _Number, bore: _Number, angle: _Number, density: _Number = ...
    ) -> float:
        """Push on a bend, outwards along the line that halves it. Result: N."""
    @overload
    def __call__(
        self,
        pressure: _Numbers,
        flow: _Numbers,
        outside: _Numbers,
        bore: _Numbers,
        angle: _Numbers,
        density: _Numbers = ...,
    ) -> _Array: ...

bend_force: _BendForce

class _SupportSpacing(Function):
    @overload
    def __call__(
        self,
        outside: _Number,
        wall: _Number,
        elastic_modulus: _Number,
        load_mass: _Number,
        sag: _Number = ...,
        gravity: _Number = ...,
    ) -> float:
        """Distance of supports for a pipe that may sag by a share of it. Result: m."""
    @overload
    def __call__(
        self,
        outside: _Numbers,
        wall: _Numbers,
        elastic_modulus: _Numbers,
        load_mass: _Numbers,
        sag: _Numbers = ...,
        gravity: _Numbers = ...,
    ) -> _Array: ...

support_spacing: _SupportSpacing

class _JetVelocity(Function):
    @overload
    def __call__(self, net_head: _Number, velocity_coefficient: _Number = ..., gravity: _Number = ...) -> float:
        """Velocity of the jet from the net head before the nozzle. Result: m/s."""
    @overload
    def __call__(self, net_head: _Numbers, velocity_coefficient: _Numbers = ..., gravity: _Numbers = ...) -> _Array: ...

jet_velocity: _JetVelocity

class _NozzleFlow(Function):
    @overload
    def __call__(
        self,
        net_head: _Number,
        nozzle: _Number,
        jets: _Number = ...,
        velocity_coefficient: _Number = ...,
        contraction: _Number = ...,
        gravity: _Number = ...,
    ) -> float:
        """Flow through the nozzles at a net head; pipe losses are not in it: see OPERATING_FLOW. Result: L/s."""
    @overload
    def __call__(
        self,
        net_head: _Numbers,
        nozzle: _Numbers,
        jets: _Numbers = ...,
        velocity_coefficient: _Numbers = ...,
        contraction: _Numbers = ...,
        gravity: _Numbers = ...,
    ) -> _Array: ...

nozzle_flow: _NozzleFlow

class _NozzleHead(Function):
    @overload
    def __call__(
        self,
        flow: _Number,
        nozzle: _Number,
        jets: _Number = ...,
        velocity_coefficient: _Number = ...,
        contraction: _Number = ...,
        gravity: _Number = ...,
    ) -> float:
        """Total head that a flow needs before the nozzles: the inverse of NOZZLE_FLOW. Result: m."""
    @overload
    def __call__(
        self,
        flow: _Numbers,
        nozzle: _Numbers,
        jets: _Numbers = ...,
        velocity_coefficient: _Numbers = ...,
        contraction: _Numbers = ...,
        gravity: _Numbers = ...,
    ) -> _Array: ...

nozzle_head: _NozzleHead

class _JetDiameter(Function):
    @overload
    def __call__(self, nozzle: _Number, contraction: _Number = ...) -> float:
        """Diameter of the jet where it has contracted. Result: mm."""
    @overload
    def __call__(self, nozzle: _Numbers, contraction: _Numbers = ...) -> _Array: ...

jet_diameter: _JetDiameter

class _JetPower(Function):
    @overload
    def __call__(self, flow: _Number, jet_velocity: _Number, temperature: _Number = ...) -> float:
        """Kinetic power of the jets, all together. Result: W."""
    @overload
    def __call__(self, flow: _Numbers, jet_velocity: _Numbers, temperature: _Numbers = ...) -> _Array: ...

jet_power: _JetPower

class _JetForce(Function):
    @overload
    def __call__(self, flow: _Number, jet_velocity: _Number, temperature: _Number = ...) -> float:
        """Force of the jet on a wall that stops it; turned right back, the water pushes twice as hard. Result: N."""
    @overload
    def __call__(self, flow: _Numbers, jet_velocity: _Numbers, temperature: _Numbers = ...) -> _Array: ...

jet_force: _JetForce

class _RunningPressure(Function):
    @overload
    def __call__(
        self, net_head: _Number, flow: _Number, bore: _Number, temperature: _Number = ..., gravity: _Number = ...
    ) -> float:
        """What a gauge just before the nozzle reads while water flows. Result: bar."""
    @overload
    def __call__(
        self, net_head: _Numbers, flow: _Numbers, bore: _Numbers, temperature: _Numbers = ..., gravity: _Numbers = ...
    ) -> _Array: ...

running_pressure: _RunningPressure

class _OperatingFlow(Function):
    @overload
    def __call__(
        self,
        gross_head: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        nozzle: _Number,
        fittings: _Number = ...,
        jets: _Number = ...,
        velocity_coefficient: _Number = ...,
        contraction: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        available_flow: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
    ) -> float:
        """Flow at which gross head, pipe, fittings and jets settle together; never more than the source gives. Result: L/s."""
    @overload
    def __call__(
        self,
        gross_head: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        nozzle: _Numbers,
        fittings: _Numbers = ...,
        jets: _Numbers = ...,
        velocity_coefficient: _Numbers = ...,
        contraction: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        available_flow: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
    ) -> _Array: ...

operating_flow: _OperatingFlow

class _BestNozzle(Function):
    @overload
    def __call__(
        self,
        gross_head: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        fittings: _Number = ...,
        jets: _Number = ...,
        velocity_coefficient: _Number = ...,
        contraction: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        available_flow: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
    ) -> float:
        """Nozzle that takes most jet power from this pipe and source; smaller and larger give less. Result: mm."""
    @overload
    def __call__(
        self,
        gross_head: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        fittings: _Numbers = ...,
        jets: _Numbers = ...,
        velocity_coefficient: _Numbers = ...,
        contraction: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        available_flow: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
    ) -> _Array: ...

best_nozzle: _BestNozzle

class _BestNozzleFlow(Function):
    @overload
    def __call__(
        self,
        gross_head: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        fittings: _Number = ...,
        jets: _Number = ...,
        velocity_coefficient: _Number = ...,
        contraction: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        available_flow: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
    ) -> float:
        """Flow that the best nozzle takes. Result: L/s."""
    @overload
    def __call__(
        self,
        gross_head: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        fittings: _Numbers = ...,
        jets: _Numbers = ...,
        velocity_coefficient: _Numbers = ...,
        contraction: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        available_flow: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
    ) -> _Array: ...

best_nozzle_flow: _BestNozzleFlow

class _BestNozzlePower(Function):
    @overload
    def __call__(
        self,
        gross_head: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        fittings: _Number = ...,
        jets: _Number = ...,
        velocity_coefficient: _Number = ...,
        contraction: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        available_flow: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
    ) -> float:
        """Jet power that the best nozzle gives. Result: W."""
    @overload
    def __call__(
        self,
        gross_head: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        fittings: _Numbers = ...,
        jets: _Numbers = ...,
        velocity_coefficient: _Numbers = ...,
        contraction: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        available_flow: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
    ) -> _Array: ...

best_nozzle_power: _BestNozzlePower

class _BestListedNozzle(Function):
    @overload
    def __call__(
        self,
        gross_head: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        sizes: Sequence[float],
        fittings: _Number = ...,
        jets: _Number = ...,
        velocity_coefficient: _Number = ...,
        contraction: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        available_flow: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
    ) -> float:
        """The nozzle of a list of sizes that takes most jet power from this pipe and source. Result: mm."""
    @overload
    def __call__(
        self,
        gross_head: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        sizes: _Lists,
        fittings: _Numbers = ...,
        jets: _Numbers = ...,
        velocity_coefficient: _Numbers = ...,
        contraction: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        available_flow: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
    ) -> float | _Array: ...

best_listed_nozzle: _BestListedNozzle

class _PipePowerLimit(Function):
    @overload
    def __call__(
        self,
        gross_head: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        fittings: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        available_flow: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
    ) -> float:
        """Greatest power the water can still have at the lower end of this pipe. Result: W."""
    @overload
    def __call__(
        self,
        gross_head: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        fittings: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        available_flow: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
    ) -> _Array: ...

pipe_power_limit: _PipePowerLimit

class _RunnerSpeed(Function):
    @overload
    def __call__(self, jet_velocity: _Number, pitch_diameter: _Number, speed_ratio: _Number = ...) -> float:
        """Speed of a wheel whose cups move at a chosen part of the jet velocity. Result: rpm."""
    @overload
    def __call__(self, jet_velocity: _Numbers, pitch_diameter: _Numbers, speed_ratio: _Numbers = ...) -> _Array: ...

runner_speed: _RunnerSpeed

class _PitchDiameter(Function):
    @overload
    def __call__(self, jet_velocity: _Number, speed: _Number, speed_ratio: _Number = ...) -> float:
        """Pitch diameter that makes a wheel turn at a wanted speed. Result: mm."""
    @overload
    def __call__(self, jet_velocity: _Numbers, speed: _Numbers, speed_ratio: _Numbers = ...) -> _Array: ...

pitch_diameter: _PitchDiameter

class _SpeedRatio(Function):
    @overload
    def __call__(self, speed: _Number, pitch_diameter: _Number, jet_velocity: _Number) -> float:
        """Cup speed over jet velocity at a given speed of the wheel."""
    @overload
    def __call__(self, speed: _Numbers, pitch_diameter: _Numbers, jet_velocity: _Numbers) -> _Array: ...

speed_ratio: _SpeedRatio

class _CupCount(Function):
    @overload
    def __call__(self, pitch_diameter: _Number, jet_diameter: _Number) -> float:
        """Number of cups a wheel needs so that no water slips between them (Taygun), rounded up."""
    @overload
    def __call__(self, pitch_diameter: _Numbers, jet_diameter: _Numbers) -> _Array: ...

cup_count: _CupCount

class _CupWidth(Function):
    @overload
    def __call__(self, jet_diameter: _Number, width_factor: _Number = ...) -> float:
        """Width of a cup as a multiple of the jet diameter. Result: mm."""
    @overload
    def __call__(self, jet_diameter: _Numbers, width_factor: _Numbers = ...) -> _Array: ...

cup_width: _CupWidth

class _JetRatio(Function):
    @overload
    def __call__(self, pitch_diameter: _Number, jet_diameter: _Number) -> float:
        """Pitch diameter over jet diameter; 9 to 18 is workable, 10 to 14 usual."""
    @overload
    def __call__(self, pitch_diameter: _Numbers, jet_diameter: _Numbers) -> _Array: ...

jet_ratio: _JetRatio

class _SpecificSpeed(Function):
    @overload
    def __call__(self, speed: _Number, flow: _Number, net_head: _Number) -> float:
        """Specific speed nq: what speed the same shape would have at 1 m head and 1 m³/s. Result: rpm."""
    @overload
    def __call__(self, speed: _Numbers, flow: _Numbers, net_head: _Numbers) -> _Array: ...

specific_speed: _SpecificSpeed

class _CupEfficiency(Function):
    @overload
    def __call__(self, speed_ratio: _Number, deflection: _Number = ..., cup_friction: _Number = ...) -> float:
        """Share of the jet's power that ideal, well aligned cups take from it (Euler)."""
    @overload
    def __call__(self, speed_ratio: _Numbers, deflection: _Numbers = ..., cup_friction: _Numbers = ...) -> _Array: ...

cup_efficiency: _CupEfficiency

class _WheelTorque(Function):
    @overload
    def __call__(
        self,
        speed: _Number,
        flow: _Number,
        jet_velocity: _Number,
        pitch_diameter: _Number,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        temperature: _Number = ...,
    ) -> float:
        """Torque the wheel gives its shaft at a given speed, after windage and bearing drag. Result: N·m."""
    @overload
    def __call__(
        self,
        speed: _Numbers,
        flow: _Numbers,
        jet_velocity: _Numbers,
        pitch_diameter: _Numbers,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        temperature: _Numbers = ...,
    ) -> _Array: ...

wheel_torque: _WheelTorque

class _WheelPower(Function):
    @overload
    def __call__(
        self,
        speed: _Number,
        flow: _Number,
        jet_velocity: _Number,
        pitch_diameter: _Number,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        temperature: _Number = ...,
    ) -> float:
        """Power the wheel gives its shaft at a given speed, after windage and bearing drag. Result: W."""
    @overload
    def __call__(
        self,
        speed: _Numbers,
        flow: _Numbers,
        jet_velocity: _Numbers,
        pitch_diameter: _Numbers,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        temperature: _Numbers = ...,
    ) -> _Array: ...

wheel_power: _WheelPower

class _WindagePower(Function):
    @overload
    def __call__(self, speed: _Number, windage: _Number) -> float:
        """Power spent on churning air and spray in the housing. Result: W."""
    @overload
    def __call__(self, speed: _Numbers, windage: _Numbers) -> _Array: ...

windage_power: _WindagePower

class _RunawaySpeed(Function):
    @overload
    def __call__(
        self,
        flow: _Number,
        jet_velocity: _Number,
        pitch_diameter: _Number,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        temperature: _Number = ...,
    ) -> float:
        """Speed the wheel reaches with no load, as when the battery is disconnected; 0 if it cannot start. Result: rpm."""
    @overload
    def __call__(
        self,
        flow: _Numbers,
        jet_velocity: _Numbers,
        pitch_diameter: _Numbers,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        temperature: _Numbers = ...,
    ) -> _Array: ...

runaway_speed: _RunawaySpeed

class _HoleHead(Function):
    @overload
    def __call__(
        self, flow: _Number, hole: _Number, discharge_coefficient: _Number = ..., gravity: _Number = ...
    ) -> float:
        """Head over the centre of a hole that is well covered by water and passes this flow. Result: mm."""
    @overload
    def __call__(
        self, flow: _Numbers, hole: _Numbers, discharge_coefficient: _Numbers = ..., gravity: _Numbers = ...
    ) -> _Array: ...

hole_head: _HoleHead

class _OutletFlow(Function):
    @overload
    def __call__(
        self,
        water_level: _Number,
        outlet: Literal["slot", "round hole", "floor hole"],
        opening_width: _Number,
        opening_height: _Number = ...,
        blocked_share: _Number = ...,
        discharge_coefficient: _Number = ...,
        gravity: _Number = ...,
    ) -> float:
        """Flow that leaves the wheel's box through its outlet at a water level, into free air. Result: L/s."""
    @overload
    def __call__(
        self,
        water_level: _Numbers,
        outlet: Literal["slot", "round hole", "floor hole"]
        | Sequence[Literal["slot", "round hole", "floor hole"]]
        | NDArray[Any],
        opening_width: _Numbers,
        opening_height: _Numbers = ...,
        blocked_share: _Numbers = ...,
        discharge_coefficient: _Numbers = ...,
        gravity: _Numbers = ...,
    ) -> _Array: ...

outlet_flow: _OutletFlow

class _OutletLevel(Function):
    @overload
    def __call__(
        self,
        flow: _Number,
        outlet: Literal["slot", "round hole", "floor hole"],
        opening_width: _Number,
        opening_height: _Number = ...,
        blocked_share: _Number = ...,
        discharge_coefficient: _Number = ...,
        gravity: _Number = ...,
    ) -> float:
        """Water level in the wheel's box at which a flow leaves through the outlet, into free air. Result: mm."""
    @overload
    def __call__(
        self,
        flow: _Numbers,
        outlet: Literal["slot", "round hole", "floor hole"]
        | Sequence[Literal["slot", "round hole", "floor hole"]]
        | NDArray[Any],
        opening_width: _Numbers,
        opening_height: _Numbers = ...,
        blocked_share: _Numbers = ...,
        discharge_coefficient: _Numbers = ...,
        gravity: _Numbers = ...,
    ) -> _Array: ...

outlet_level: _OutletLevel

class _OutletWidth(Function):
    @overload
    def __call__(
        self,
        flow: _Number,
        outlet: Literal["slot", "round hole", "floor hole"],
        water_level: _Number,
        opening_height: _Number = ...,
        blocked_share: _Number = ...,
        discharge_coefficient: _Number = ...,
        gravity: _Number = ...,
    ) -> float:
        """Smallest outlet that keeps the water in the wheel's box at a level: width of the slot, or diameter. Result: mm."""
    @overload
    def __call__(
        self,
        flow: _Numbers,
        outlet: Literal["slot", "round hole", "floor hole"]
        | Sequence[Literal["slot", "round hole", "floor hole"]]
        | NDArray[Any],
        water_level: _Numbers,
        opening_height: _Numbers = ...,
        blocked_share: _Numbers = ...,
        discharge_coefficient: _Numbers = ...,
        gravity: _Numbers = ...,
    ) -> _Array: ...

outlet_width: _OutletWidth

class _EmfConstant(Function):
    @overload
    def __call__(self, line_volts: _Number, speed: _Number, connection: Literal["star", "delta"] = ...) -> float:
        """Volts of ONE phase winding per 1000 rpm, from an open-circuit a.c. reading between two terminals. Result: V/krpm."""
    @overload
    def __call__(
        self,
        line_volts: _Numbers,
        speed: _Numbers,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
    ) -> _Array: ...

emf_constant: _EmfConstant

class _PhaseResistance(Function):
    @overload
    def __call__(self, terminal_resistance: _Number, connection: Literal["star", "delta"] = ...) -> float:
        """Resistance of ONE phase winding, from a reading between two terminals. Result: Ω."""
    @overload
    def __call__(
        self,
        terminal_resistance: _Numbers,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
    ) -> _Array: ...

phase_resistance: _PhaseResistance

class _PhaseInductance(Function):
    @overload
    def __call__(self, terminal_inductance: _Number, connection: Literal["star", "delta"] = ...) -> float:
        """Inductance of ONE phase winding, from a reading between two terminals. Result: mH."""
    @overload
    def __call__(
        self,
        terminal_inductance: _Numbers,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
    ) -> _Array: ...

phase_inductance: _PhaseInductance

class _ElectricalFrequency(Function):
    @overload
    def __call__(self, speed: _Number, pole_pairs: _Number) -> float:
        """Frequency of the alternator's a.c. voltage. Result: Hz."""
    @overload
    def __call__(self, speed: _Numbers, pole_pairs: _Numbers) -> _Array: ...

electrical_frequency: _ElectricalFrequency

class _OpenCircuitVolts(Function):
    @overload
    def __call__(self, speed: _Number, phase_volts: _Number, connection: Literal["star", "delta"] = ...) -> float:
        """D.c. volts after the bridge with no load, the mean; diode drops are not taken off. Result: V."""
    @overload
    def __call__(
        self,
        speed: _Numbers,
        phase_volts: _Numbers,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
    ) -> _Array: ...

open_circuit_volts: _OpenCircuitVolts

class _CutInSpeed(Function):
    @overload
    def __call__(
        self,
        phase_volts: _Number,
        battery_volts: _Number,
        connection: Literal["star", "delta"] = ...,
        diode_drop: _Number = ...,
    ) -> float:
        """Speed above which the bridge starts to charge a battery. Result: rpm."""
    @overload
    def __call__(
        self,
        phase_volts: _Numbers,
        battery_volts: _Numbers,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        diode_drop: _Numbers = ...,
    ) -> _Array: ...

cut_in_speed: _CutInSpeed

class _ChargingCurrent(Function):
    @overload
    def __call__(
        self,
        speed: _Number,
        phase_volts: _Number,
        battery_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
        diode_drop: _Number = ...,
        cable_resistance: _Number = ...,
    ) -> float:
        """Direct current into a battery at a given speed; 0 below the cut-in speed. Averaged bridge. Result: A."""
    @overload
    def __call__(
        self,
        speed: _Numbers,
        phase_volts: _Numbers,
        battery_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        diode_drop: _Numbers = ...,
        cable_resistance: _Numbers = ...,
    ) -> _Array: ...

charging_current: _ChargingCurrent

class _RectifiedVolts(Function):
    @overload
    def __call__(
        self,
        speed: _Number,
        current: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
        diode_drop: _Number = ...,
    ) -> float:
        """D.c. volts at the bridge while a given direct current is drawn. Result: V."""
    @overload
    def __call__(
        self,
        speed: _Numbers,
        current: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        diode_drop: _Numbers = ...,
    ) -> _Array: ...

rectified_volts: _RectifiedVolts

class _AlternatorTorque(Function):
    @overload
    def __call__(
        self,
        current: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
    ) -> float:
        """Torque with which the alternator brakes the shaft, from its direct current; iron drag not included. Result: N·m."""
    @overload
    def __call__(
        self,
        current: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
    ) -> _Array: ...

alternator_torque: _AlternatorTorque

class _OverlapAngle(Function):
    @overload
    def __call__(
        self,
        current: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_inductance: _Number,
        connection: Literal["star", "delta"] = ...,
    ) -> float:
        """How long two phases share the current as one hands over to the next; a check on the averaged bridge. Result: °."""
    @overload
    def __call__(
        self,
        current: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_inductance: _Numbers,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
    ) -> _Array: ...

overlap_angle: _OverlapAngle

class _ShortedCurrent(Function):
    @overload
    def __call__(
        self,
        speed: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
    ) -> float:
        """Settled a.c. amperes in each lead while the alternator's three leads are joined together as a brake. Result: A."""
    @overload
    def __call__(
        self,
        speed: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
    ) -> _Array: ...

shorted_current: _ShortedCurrent

class _ShortedTorque(Function):
    @overload
    def __call__(
        self,
        speed: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
    ) -> float:
        """Torque with which the alternator brakes while its three leads are joined together; iron drag not included. Result: N·m."""
    @overload
    def __call__(
        self,
        speed: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
    ) -> _Array: ...

shorted_torque: _ShortedTorque

class _CopperLoss(Function):
    @overload
    def __call__(
        self, current: _Number, phase_resistance: _Number, connection: Literal["star", "delta"] = ...
    ) -> float:
        """Heat in the alternator's windings. Result: W."""
    @overload
    def __call__(
        self,
        current: _Numbers,
        phase_resistance: _Numbers,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
    ) -> _Array: ...

copper_loss: _CopperLoss

class _DiodeLoss(Function):
    @overload
    def __call__(self, current: _Number, diode_drop: _Number = ...) -> float:
        """Heat in the rectifier bridge; two diodes conduct at a time. Result: W."""
    @overload
    def __call__(self, current: _Numbers, diode_drop: _Numbers = ...) -> _Array: ...

diode_loss: _DiodeLoss

class _AwgArea(Function):
    @overload
    def __call__(self, gauge: _Number) -> float:
        """Cross-section of a solid round wire of an American wire gauge. Result: mm²."""
    @overload
    def __call__(self, gauge: _Numbers) -> _Array: ...

awg_area: _AwgArea

class _CableResistance(Function):
    @overload
    def __call__(
        self,
        length: _Number,
        area: _Number,
        material: Literal["copper", "aluminium"] = ...,
        conductor_temperature: _Number = ...,
    ) -> float:
        """Resistance of a two-wire cable, out and back, from the true cross-section of its metal. Result: Ω."""
    @overload
    def __call__(
        self,
        length: _Numbers,
        area: _Numbers,
        material: Literal["copper", "aluminium"] | Sequence[Literal["copper", "aluminium"]] | NDArray[Any] = ...,
        conductor_temperature: _Numbers = ...,
    ) -> _Array: ...

cable_resistance: _CableResistance

class _CableClassResistance(Function):
    @overload
    def __call__(
        self,
        length: _Number,
        cable_size: Literal["1.5", "2.5", "4", "6", "10", "16", "25", "35", "50", 4, 6, 10, 16, 25, 35, 50],
        strand_class: Literal["2", "5", 2, 5] = ...,
        conductor_temperature: _Number = ...,
    ) -> float:
        """Most resistance, out and back, that IEC 60228 allows a copper cable of a standard size. Result: Ω."""
    @overload
    def __call__(
        self,
        length: _Numbers,
        cable_size: Literal["1.5", "2.5", "4", "6", "10", "16", "25", "35", "50", 4, 6, 10, 16, 25, 35, 50]
        | Sequence[Literal["1.5", "2.5", "4", "6", "10", "16", "25", "35", "50", 4, 6, 10, 16, 25, 35, 50]]
        | NDArray[Any],
        strand_class: Literal["2", "5", 2, 5] | Sequence[Literal["2", "5", 2, 5]] | NDArray[Any] = ...,
        conductor_temperature: _Numbers = ...,
    ) -> _Array: ...

cable_class_resistance: _CableClassResistance

class _CableDrop(Function):
    @overload
    def __call__(self, current: _Number, cable_resistance: _Number) -> float:
        """Volts lost along the cable, out and back. Result: V."""
    @overload
    def __call__(self, current: _Numbers, cable_resistance: _Numbers) -> _Array: ...

cable_drop: _CableDrop

class _CableLoss(Function):
    @overload
    def __call__(self, current: _Number, cable_resistance: _Number) -> float:
        """Heat along the cable, out and back. Result: W."""
    @overload
    def __call__(self, current: _Numbers, cable_resistance: _Numbers) -> _Array: ...

cable_loss: _CableLoss

class _OperatingSpeed(Function):
    @overload
    def __call__(
        self,
        flow: _Number,
        jet_velocity: _Number,
        pitch_diameter: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        battery_volts: _Number = ...,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
        diode_drop: _Number = ...,
        cable_resistance: _Number = ...,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        iron_drag: _Number = ...,
        load: Literal["battery", "resistor", "controller"] = ...,
        load_resistance: _Number = ...,
        controller_efficiency: _Number = ...,
        temperature: _Number = ...,
    ) -> float:
        """Speed at which wheel, alternator and load settle after a start; 0 if the wheel cannot start. Result: rpm."""
    @overload
    def __call__(
        self,
        flow: _Numbers,
        jet_velocity: _Numbers,
        pitch_diameter: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        battery_volts: _Numbers = ...,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        diode_drop: _Numbers = ...,
        cable_resistance: _Numbers = ...,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        iron_drag: _Numbers = ...,
        load: Literal["battery", "resistor", "controller"]
        | Sequence[Literal["battery", "resistor", "controller"]]
        | NDArray[Any] = ...,
        load_resistance: _Numbers = ...,
        controller_efficiency: _Numbers = ...,
        temperature: _Numbers = ...,
    ) -> _Array: ...

operating_speed: _OperatingSpeed

class _OperatingCurrent(Function):
    @overload
    def __call__(
        self,
        flow: _Number,
        jet_velocity: _Number,
        pitch_diameter: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        battery_volts: _Number = ...,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
        diode_drop: _Number = ...,
        cable_resistance: _Number = ...,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        iron_drag: _Number = ...,
        load: Literal["battery", "resistor", "controller"] = ...,
        load_resistance: _Number = ...,
        controller_efficiency: _Number = ...,
        temperature: _Number = ...,
    ) -> float:
        """Direct current through the cable at the settled speed; for a controller, the current at its input. Result: A."""
    @overload
    def __call__(
        self,
        flow: _Numbers,
        jet_velocity: _Numbers,
        pitch_diameter: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        battery_volts: _Numbers = ...,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        diode_drop: _Numbers = ...,
        cable_resistance: _Numbers = ...,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        iron_drag: _Numbers = ...,
        load: Literal["battery", "resistor", "controller"]
        | Sequence[Literal["battery", "resistor", "controller"]]
        | NDArray[Any] = ...,
        load_resistance: _Numbers = ...,
        controller_efficiency: _Numbers = ...,
        temperature: _Numbers = ...,
    ) -> _Array: ...

operating_current: _OperatingCurrent

class _OperatingVolts(Function):
    @overload
    def __call__(
        self,
        flow: _Number,
        jet_velocity: _Number,
        pitch_diameter: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        battery_volts: _Number = ...,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
        diode_drop: _Number = ...,
        cable_resistance: _Number = ...,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        iron_drag: _Number = ...,
        load: Literal["battery", "resistor", "controller"] = ...,
        load_resistance: _Number = ...,
        controller_efficiency: _Number = ...,
        temperature: _Number = ...,
    ) -> float:
        """D.c. volts at the load's end of the cable at the settled speed; for a controller, volts at its input. Result: V."""
    @overload
    def __call__(
        self,
        flow: _Numbers,
        jet_velocity: _Numbers,
        pitch_diameter: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        battery_volts: _Numbers = ...,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        diode_drop: _Numbers = ...,
        cable_resistance: _Numbers = ...,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        iron_drag: _Numbers = ...,
        load: Literal["battery", "resistor", "controller"]
        | Sequence[Literal["battery", "resistor", "controller"]]
        | NDArray[Any] = ...,
        load_resistance: _Numbers = ...,
        controller_efficiency: _Numbers = ...,
        temperature: _Numbers = ...,
    ) -> _Array: ...

operating_volts: _OperatingVolts

class _OperatingPower(Function):
    @overload
    def __call__(
        self,
        flow: _Number,
        jet_velocity: _Number,
        pitch_diameter: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        battery_volts: _Number = ...,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
        diode_drop: _Number = ...,
        cable_resistance: _Number = ...,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        iron_drag: _Number = ...,
        load: Literal["battery", "resistor", "controller"] = ...,
        load_resistance: _Number = ...,
        controller_efficiency: _Number = ...,
        temperature: _Number = ...,
    ) -> float:
        """Watts into the battery or resistor at the settled speed, after the controller if there is one. Result: W."""
    @overload
    def __call__(
        self,
        flow: _Numbers,
        jet_velocity: _Numbers,
        pitch_diameter: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        battery_volts: _Numbers = ...,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        diode_drop: _Numbers = ...,
        cable_resistance: _Numbers = ...,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        iron_drag: _Numbers = ...,
        load: Literal["battery", "resistor", "controller"]
        | Sequence[Literal["battery", "resistor", "controller"]]
        | NDArray[Any] = ...,
        load_resistance: _Numbers = ...,
        controller_efficiency: _Numbers = ...,
        temperature: _Numbers = ...,
    ) -> _Array: ...

operating_power: _OperatingPower

class _ShortedSpeed(Function):
    @overload
    def __call__(
        self,
        flow: _Number,
        jet_velocity: _Number,
        pitch_diameter: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        iron_drag: _Number = ...,
        temperature: _Number = ...,
    ) -> float:
        """Speed to which a wheel with water on it comes down from runaway when the alternator's leads are joined. Result: rpm."""
    @overload
    def __call__(
        self,
        flow: _Numbers,
        jet_velocity: _Numbers,
        pitch_diameter: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        iron_drag: _Numbers = ...,
        temperature: _Numbers = ...,
    ) -> _Array: ...

shorted_speed: _ShortedSpeed

class _PowerLedger(Function):
    @overload
    def __call__(
        self,
        gross_head: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        nozzle: _Number,
        pitch_diameter: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        battery_volts: _Number = ...,
        fittings: _Number = ...,
        jets: _Number = ...,
        velocity_coefficient: _Number = ...,
        contraction: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        available_flow: _Number = ...,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
        diode_drop: _Number = ...,
        cable_resistance: _Number = ...,
        iron_drag: _Number = ...,
        load: Literal["battery", "resistor", "controller"] = ...,
        load_resistance: _Number = ...,
        controller_efficiency: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
        ledger_line: Literal[
            "gross",
            "unfilled pipe",
            "pipe friction",
            "fittings",
            "nozzle",
            "cups",
            "alignment",
            "windage",
            "bearings",
            "iron",
            "windings",
            "diodes",
            "cable",
            "controller",
            "battery",
        ] = ...,
    ) -> float:
        """One line of the power ledger of a whole plant: the water's gross power, one of the losses, or what the battery or resistor gets. The losses and the battery add up to the gross power. Result: W."""
    @overload
    def __call__(
        self,
        gross_head: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        nozzle: _Numbers,
        pitch_diameter: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        battery_volts: _Numbers = ...,
        fittings: _Numbers = ...,
        jets: _Numbers = ...,
        velocity_coefficient: _Numbers = ...,
        contraction: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        available_flow: _Numbers = ...,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        diode_drop: _Numbers = ...,
        cable_resistance: _Numbers = ...,
        iron_drag: _Numbers = ...,
        load: Literal["battery", "resistor", "controller"]
        | Sequence[Literal["battery", "resistor", "controller"]]
        | NDArray[Any] = ...,
        load_resistance: _Numbers = ...,
        controller_efficiency: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
        ledger_line: Literal[
            "gross",
            "unfilled pipe",
            "pipe friction",
            "fittings",
            "nozzle",
            "cups",
            "alignment",
            "windage",
            "bearings",
            "iron",
            "windings",
            "diodes",
            "cable",
            "controller",
            "battery",
        ]
        | Sequence[
            Literal[
                "gross",
                "unfilled pipe",
                "pipe friction",
                "fittings",
                "nozzle",
                "cups",
                "alignment",
                "windage",
                "bearings",
                "iron",
                "windings",
                "diodes",
                "cable",
                "controller",
                "battery",
            ]
        ]
        | NDArray[Any] = ...,
    ) -> _Array: ...

power_ledger: _PowerLedger

class _WholePlant:
    """A plant in Python: `plant.battery_watts` is a quantity, `plant.with_(nozzle=7)` another plant.

    `values` are numbers, words or arrays by name, in trade units; `changed` are values that count instead. Names that
    are no input are passed over in `values`, and refused in `changed`.
    """
    def with_(self, **changed: Any) -> _WholePlant: ...
    def ask(
        self,
        quantity: Literal[
            "flow",
            "net_head",
            "lost_head",
            "friction_head",
            "minor_head",
            "pipe_velocity",
            "reynolds_number",
            "static_pressure",
            "running_pressure",
            "jet_velocity",
            "jet_diameter",
            "jet_power",
            "jet_force",
            "best_nozzle",
            "best_nozzle_flow",
            "best_nozzle_power",
            "pipe_power_limit",
            "speed",
            "speed_ratio",
            "cup_efficiency",
            "cup_count",
            "jet_ratio",
            "specific_speed",
            "stall_torque",
            "wheel_torque",
            "wheel_power",
            "windage_power",
            "runaway_speed",
            "runaway_volts",
            "operating_speed",
            "operating_current",
            "operating_volts",
            "operating_power",
            "load_volts",
            "current",
            "charging_current",
            "cut_in_speed",
            "electrical_frequency",
            "open_circuit_volts",
            "rectified_volts",
            "alternator_torque",
            "electrical_torque",
            "overlap_angle",
            "copper_loss",
            "diode_loss",
            "shorted_current",
            "shorted_torque",
            "shorted_heat",
            "shorted_peak_speed",
            "shorted_speed",
            "cable_loss",
            "cable_drop",
            "cable_resistance",
            "gross_watts",
            "unfilled_pipe_watts",
            "pipe_friction_watts",
            "fittings_watts",
            "nozzle_watts",
            "cups_watts",
            "alignment_watts",
            "windage_watts",
            "bearings_watts",
            "iron_watts",
            "windings_watts",
            "diodes_watts",
            "cable_watts",
            "controller_watts",
            "battery_watts",
            "plant_efficiency",
        ],
    ) -> Any: ...
    @property
    def flow(self) -> Any:
        """Flow through pipe and jets. [L/s]"""

    @property
    def net_head(self) -> Any:
        """Total head before the nozzle. [m]"""

    @property
    def lost_head(self) -> Any:
        """Head lost in pipe and fittings. [m]"""

    @property
    def friction_head(self) -> Any:
        """Head lost to friction in the pipe. [m]"""

    @property
    def minor_head(self) -> Any:
        """Head lost in fittings. [m]"""

    @property
    def pipe_velocity(self) -> Any:
        """Velocity in the first pipe section. [m/s]"""

    @property
    def reynolds_number(self) -> Any:
        """Reynolds number in the first pipe section."""

    @property
    def static_pressure(self) -> Any:
        """Gauge pressure at the nozzle with the valve shut. [bar]"""

    @property
    def running_pressure(self) -> Any:
        """Gauge pressure at the nozzle while water flows. [bar]"""

    @property
    def jet_velocity(self) -> Any:
        """Velocity of the jet. [m/s]"""

    @property
    def jet_diameter(self) -> Any:
        """Diameter of the jet. [mm]"""

    @property
    def jet_power(self) -> Any:
        """Power in the jets. [W]"""

    @property
    def jet_force(self) -> Any:
        """Force of the jets on a wall that stops them. [N]"""

    @property
    def best_nozzle(self) -> Any:
        """Nozzle of most jet power. [mm]"""

    @property
    def best_nozzle_flow(self) -> Any:
        """Flow that the best nozzle takes. [L/s]"""

    @property
    def best_nozzle_power(self) -> Any:
        """Jet power that the best nozzle gives. [W]"""

    @property
    def pipe_power_limit(self) -> Any:
        """Greatest power the water can have at the lower end of the pipe. [W]"""

    @property
    def speed(self) -> Any:
        """Speed of the wheel: as it settles, or as changed. [rpm]"""

    @property
    def speed_ratio(self) -> Any:
        """Cup speed over jet velocity."""

    @property
    def cup_efficiency(self) -> Any:
        """Share of the jet's power that ideal cups take at that speed ratio."""

    @property
    def cup_count(self) -> Any:
        """Number of cups (Taygun)."""

    @property
    def jet_ratio(self) -> Any:
        """Pitch diameter over jet diameter."""

    @property
    def specific_speed(self) -> Any:
        """Specific speed nq. [rpm]"""

    @property
    def stall_torque(self) -> Any:
        """Torque of the wheel held still. [N·m]"""

    @property
    def wheel_torque(self) -> Any:
        """Torque at the shaft. [N·m]"""

    @property
    def wheel_power(self) -> Any:
        """Power at the shaft. [W]"""

    @property
    def windage_power(self) -> Any:
        """Power lost to windage. [W]"""

    @property
    def runaway_speed(self) -> Any:
        """Speed with no load. [rpm]"""

    @property
    def runaway_volts(self) -> Any:
        """Open d.c. volts at runaway. [V]"""

    @property
    def operating_speed(self) -> Any:
        """Speed at which the plant settles. [rpm]"""

    @property
    def operating_current(self) -> Any:
        """Direct current at which the plant settles. [A]"""

    @property
    def operating_volts(self) -> Any:
        """Volts at the load's end of the cable. [V]"""

    @property
    def operating_power(self) -> Any:
        """Watts into the battery or resistor. [W]"""

    @property
    def load_volts(self) -> Any:
        """The same as operating_volts. [V]"""

    @property
    def current(self) -> Any:
        """Direct current: as the plant settles, at a changed speed, or as changed. [A]"""

    @property
    def charging_current(self) -> Any:
        """Direct current at the speed, averaged bridge; not for a controller. [A]"""

    @property
    def cut_in_speed(self) -> Any:
        """Speed at which a battery begins to be charged; 0 for other loads. [rpm]"""

    @property
    def electrical_frequency(self) -> Any:
        """Frequency of the alternator. [Hz]"""

    @property
    def open_circuit_volts(self) -> Any:
        """D.c. volts at the speed with no load. [V]"""

    @property
    def rectified_volts(self) -> Any:
        """D.c. volts at the bridge. [V]"""

    @property
    def alternator_torque(self) -> Any:
        """Torque with which the alternator brakes, iron not counted. [N·m]"""

    @property
    def electrical_torque(self) -> Any:
        """The same with the iron's drag. [N·m]"""

    @property
    def overlap_angle(self) -> Any:
        """Overlap of the diodes, electrical. [°]"""

    @property
    def copper_loss(self) -> Any:
        """Heat in the windings. [W]"""

    @property
    def diode_loss(self) -> Any:
        """Heat in the bridge. [W]"""

    @property
    def shorted_current(self) -> Any:
        """Rms amperes in each lead at the speed with the alternator's leads joined. [A]"""

    @property
    def shorted_torque(self) -> Any:
        """Torque with which the shorted alternator brakes at the speed, iron not counted. [N·m]"""

    @property
    def shorted_heat(self) -> Any:
        """Heat in the windings at the speed with the leads joined. [W]"""

    @property
    def shorted_peak_speed(self) -> Any:
        """Speed at which the shorted alternator brakes most, up to runaway. [rpm]"""

    @property
    def shorted_speed(self) -> Any:
        """Speed to which the wheel comes down from runaway with the leads joined. [rpm]"""

    @property
    def cable_loss(self) -> Any:
        """Heat along the cable. [W]"""

    @property
    def cable_drop(self) -> Any:
        """Volts lost along the cable. [V]"""

    @property
    def cable_resistance(self) -> Any:
        """Resistance of the cable, out and back, as it counts. [Ω]"""

    @property
    def gross_watts(self) -> Any:
        """Line gross of the power ledger. [W]"""

    @property
    def unfilled_pipe_watts(self) -> Any:
        """Line unfilled pipe of the power ledger. [W]"""

    @property
    def pipe_friction_watts(self) -> Any:
        """Line pipe friction of the power ledger. [W]"""

    @property
    def fittings_watts(self) -> Any:
        """Line fittings of the power ledger. [W]"""

    @property
    def nozzle_watts(self) -> Any:
        """Line nozzle of the power ledger. [W]"""

    @property
    def cups_watts(self) -> Any:
        """Line cups of the power ledger. [W]"""

    @property
    def alignment_watts(self) -> Any:
        """Line alignment of the power ledger. [W]"""

    @property
    def windage_watts(self) -> Any:
        """Line windage of the power ledger. [W]"""

    @property
    def bearings_watts(self) -> Any:
        """Line bearings of the power ledger. [W]"""

    @property
    def iron_watts(self) -> Any:
        """Line iron of the power ledger. [W]"""

    @property
    def windings_watts(self) -> Any:
        """Line windings of the power ledger. [W]"""

    @property
    def diodes_watts(self) -> Any:
        """Line diodes of the power ledger. [W]"""

    @property
    def cable_watts(self) -> Any:
        """Line cable of the power ledger. [W]"""

    @property
    def controller_watts(self) -> Any:
        """Line controller of the power ledger. [W]"""

    @property
    def battery_watts(self) -> Any:
        """Line battery of the power ledger. [W]"""

    @property
    def plant_efficiency(self) -> Any:
        """Watts into the load over the gross power of the water. [%]"""

class _Plant(Function):
    @overload
    def __call__(
        self,
        plant: Mapping[str, Any],
        quantity: Literal[
            "flow",
            "net_head",
            "lost_head",
            "friction_head",
            "minor_head",
            "pipe_velocity",
            "reynolds_number",
            "static_pressure",
            "running_pressure",
            "jet_velocity",
            "jet_diameter",
            "jet_power",
            "jet_force",
            "best_nozzle",
            "best_nozzle_flow",
            "best_nozzle_power",
            "pipe_power_limit",
            "speed",
            "speed_ratio",
            "cup_efficiency",
            "cup_count",
            "jet_ratio",
            "specific_speed",
            "stall_torque",
            "wheel_torque",
            "wheel_power",
            "windage_power",
            "runaway_speed",
            "runaway_volts",
            "operating_speed",
            "operating_current",
            "operating_volts",
            "operating_power",
            "load_volts",
            "current",
            "charging_current",
            "cut_in_speed",
            "electrical_frequency",
            "open_circuit_volts",
            "rectified_volts",
            "alternator_torque",
            "electrical_torque",
            "overlap_angle",
            "copper_loss",
            "diode_loss",
            "shorted_current",
            "shorted_torque",
            "shorted_heat",
            "shorted_peak_speed",
            "shorted_speed",
            "cable_loss",
            "cable_drop",
            "cable_resistance",
            "gross_watts",
            "unfilled_pipe_watts",
            "pipe_friction_watts",
            "fittings_watts",
            "nozzle_watts",
            "cups_watts",
            "alignment_watts",
            "windage_watts",
            "bearings_watts",
            "iron_watts",
            "windings_watts",
            "diodes_watts",
            "cable_watts",
            "controller_watts",
            "battery_watts",
            "plant_efficiency",
        ],
        names: str | Sequence[str] = ...,
        values: Any = ...,
    ) -> Any:
        """Any quantity of a whole plant, which stands in two columns of names and values; with other values for some inputs if you like."""
    @overload
    def __call__(self, plant: Mapping[str, Any], **changed: Any) -> _WholePlant: ...

plant: _Plant

class _NozzleAtHand(Function):
    def __call__(
        self, plant: Mapping[str, Any], sizes: _Lists, names: str | Sequence[str] = ..., values: Any = ...
    ) -> Any:
        """Of the nozzle sizes one has or can drill, the one with which a plant gives most watts into its battery."""

nozzle_at_hand: _NozzleAtHand

class _NozzleSeason(Function):
    def __call__(
        self,
        plant: Mapping[str, Any],
        quantity: Literal["one", "one_watts", "dry", "wet", "two_watts", "first", "last", "every_watts"],
        sizes: _Lists,
        flows: _Lists,
        month_days: _Lists,
        names: str | Sequence[str] = ...,
        values: Any = ...,
    ) -> Any:
        """Which nozzle to fit all the year, or which two to change twice a year, and what that gives, from the flow of every month."""

nozzle_season: _NozzleSeason

class _Doubt(Function):
    def __call__(
        self,
        plant: Mapping[str, Any],
        quantity: Literal["mean", "standard_uncertainty", "low", "median", "high", "share", "part"],
        lines: Sequence[tuple[str, float, str, float]],
        which: _Numbers = ...,
        names: str | Sequence[str] = ...,
        values: Any = ...,
    ) -> Any:
        """How far the watts into the battery may be off, where some inputs of a plant are not known well. All are drawn together."""

doubt: _Doubt

class _SurgeRun(Function):
    def __call__(
        self,
        plant: Mapping[str, Any],
        quantity: Literal["blocked_highest", "blocked_lowest", "shut_highest", "shut_lowest", "opened_lowest"],
        chainage: _Numbers = ...,
        names: str | Sequence[str] = ...,
        values: Any = ...,
    ) -> Any:
        """Highest or lowest pressure, above that at rest, while a jet is blocked or its valve is shut or opened: any sections in series, with friction."""

surge_run: _SurgeRun

class _CableAmpacity(Function):
    @overload
    def __call__(
        self,
        area: _Number,
        material: Literal["copper", "aluminium"] = ...,
        installation: Literal["insulated wall", "conduit", "surface", "buried duct", "buried"] = ...,
        ambient_temperature: _Number = ...,
    ) -> float:
        """Direct current a two-wire PVC cable carries for good, by size, metal, way of laying and temperature round it. A size between two of the table counts as the smaller. Result: A."""
    @overload
    def __call__(
        self,
        area: _Numbers,
        material: Literal["copper", "aluminium"] | Sequence[Literal["copper", "aluminium"]] | NDArray[Any] = ...,
        installation: Literal["insulated wall", "conduit", "surface", "buried duct", "buried"]
        | Sequence[Literal["insulated wall", "conduit", "surface", "buried duct", "buried"]]
        | NDArray[Any] = ...,
        ambient_temperature: _Numbers = ...,
    ) -> _Array: ...

cable_ampacity: _CableAmpacity

class _FuseSize(Function):
    @overload
    def __call__(self, current: _Number, ampacity: _Number, fuse_margin: _Number = ...) -> float:
        """Smallest standard fuse (IEC 60269 series) that carries the current with a margin and protects the cable; an error where none does. Result: A."""
    @overload
    def __call__(self, current: _Numbers, ampacity: _Numbers, fuse_margin: _Numbers = ...) -> _Array: ...

fuse_size: _FuseSize

class _FuseAmpacity(Function):
    @overload
    def __call__(self, fuse: _Number) -> float:
        """What a cable must carry for a gG fuse to protect it: more than the fuse's rated current, as a fuse blows only well above it. Result: A."""
    @overload
    def __call__(self, fuse: _Numbers) -> _Array: ...

fuse_ampacity: _FuseAmpacity

class _TouchLimit(Function):
    @overload
    def __call__(self, place: Literal["dry", "wet", "covered"]) -> float:
        """Highest ripple-free d.c. volts at bare parts that may be touched: dry 60, wet 30; covered: 120, where extra-low voltage ends. Result: V."""
    @overload
    def __call__(
        self, place: Literal["dry", "wet", "covered"] | Sequence[Literal["dry", "wet", "covered"]] | NDArray[Any]
    ) -> _Array: ...

touch_limit: _TouchLimit

class _TouchLimitAc(Function):
    @overload
    def __call__(self, place: Literal["dry", "wet", "covered"]) -> float:
        """Highest a.c. volts at bare parts that may be touched: dry 25, wet 12; covered: 50, where extra-low voltage ends. Result: V."""
    @overload
    def __call__(
        self, place: Literal["dry", "wet", "covered"] | Sequence[Literal["dry", "wet", "covered"]] | NDArray[Any]
    ) -> _Array: ...

touch_limit_ac: _TouchLimitAc

class _DumpResistance(Function):
    @overload
    def __call__(self, power: _Number, volts: _Number) -> float:
        """Resistance of a dump load that takes a given power at a given voltage. Result: Ω."""
    @overload
    def __call__(self, power: _Numbers, volts: _Numbers) -> _Array: ...

dump_resistance: _DumpResistance

class _DumpPower(Function):
    @overload
    def __call__(self, volts: _Number, dump_resistance: _Number) -> float:
        """Power a dump load takes, as heat, at a given voltage. Result: W."""
    @overload
    def __call__(self, volts: _Numbers, dump_resistance: _Numbers) -> _Array: ...

dump_power: _DumpPower

class _CoolingAir(Function):
    @overload
    def __call__(
        self,
        power: _Number,
        temperature_rise: _Number = ...,
        air_temperature: _Number = ...,
        air_pressure: _Number = ...,
    ) -> float:
        """Flow of air that carries heat off a dump load or a room while the air warms by so much. Result: m³/h."""
    @overload
    def __call__(
        self,
        power: _Numbers,
        temperature_rise: _Numbers = ...,
        air_temperature: _Numbers = ...,
        air_pressure: _Numbers = ...,
    ) -> _Array: ...

cooling_air: _CoolingAir

class _BatterySize(Function):
    @overload
    def __call__(
        self,
        daily_energy: _Number,
        autonomy: _Number,
        battery_volts: _Number,
        depth_of_discharge: _Number = ...,
        delivery_efficiency: _Number = ...,
        cold_capacity: _Number = ...,
    ) -> float:
        """Rated capacity that feeds the loads for some days without the wheel. Result: Ah."""
    @overload
    def __call__(
        self,
        daily_energy: _Numbers,
        autonomy: _Numbers,
        battery_volts: _Numbers,
        depth_of_discharge: _Numbers = ...,
        delivery_efficiency: _Numbers = ...,
        cold_capacity: _Numbers = ...,
    ) -> _Array: ...

battery_size: _BatterySize

class _ColdCapacity(Function):
    @overload
    def __call__(self, battery_temperature: _Number) -> float:
        """Share of its rated capacity that a lead-acid battery gives at a temperature; 100 % at 25 °C. Result: %."""
    @overload
    def __call__(self, battery_temperature: _Numbers) -> _Array: ...

cold_capacity: _ColdCapacity

class _ChargeVolts(Function):
    @overload
    def __call__(
        self, cell_volts: _Number, cells: _Number, battery_temperature: _Number, compensation: _Number = ...
    ) -> float:
        """Charge voltage of a lead-acid battery at its temperature: a cold one needs more. Result: V."""
    @overload
    def __call__(
        self, cell_volts: _Numbers, cells: _Numbers, battery_temperature: _Numbers, compensation: _Numbers = ...
    ) -> _Array: ...

charge_volts: _ChargeVolts

class _RestCharge(Function):
    @overload
    def __call__(self, rest_volts: _Number, cells: _Number) -> float:
        """State of charge from the voltage of a lead-acid battery that has rested for hours. Result: %."""
    @overload
    def __call__(self, rest_volts: _Numbers, cells: _Numbers) -> _Array: ...

rest_charge: _RestCharge

class _FreezingPoint(Function):
    @overload
    def __call__(self, charge_state: _Number) -> float:
        """Temperature at which the acid of a lead-acid battery begins to freeze: an empty one freezes first. Result: °C."""
    @overload
    def __call__(self, charge_state: _Numbers) -> _Array: ...

freezing_point: _FreezingPoint

class _DischargeTime(Function):
    @overload
    def __call__(
        self, battery_capacity: _Number, rated_hours: _Number, current: _Number, peukert: _Number = ...
    ) -> float:
        """How long a battery holds out at a steady current, by Peukert's law in its rated form. Result: h."""
    @overload
    def __call__(
        self, battery_capacity: _Numbers, rated_hours: _Numbers, current: _Numbers, peukert: _Numbers = ...
    ) -> _Array: ...

discharge_time: _DischargeTime

class _PeukertExponent(Function):
    @overload
    def __call__(
        self, battery_capacity: _Number, rated_hours: _Number, second_capacity: _Number, second_hours: _Number
    ) -> float:
        """Peukert's exponent from two capacities of a data sheet."""
    @overload
    def __call__(
        self, battery_capacity: _Numbers, rated_hours: _Numbers, second_capacity: _Numbers, second_hours: _Numbers
    ) -> _Array: ...

peukert_exponent: _PeukertExponent

class _GasVentilation(Function):
    @overload
    def __call__(self, cells: _Number, battery_capacity: _Number, gassing: _Number = ...) -> float:
        """Air that a room with a charging battery needs against hydrogen. Result: m³/h."""
    @overload
    def __call__(self, cells: _Numbers, battery_capacity: _Numbers, gassing: _Numbers = ...) -> _Array: ...

gas_ventilation: _GasVentilation

class _GasOpening(Function):
    @overload
    def __call__(self, ventilation: _Number) -> float:
        """Free area of the inlet below, and of the outlet above, for that air without a fan. Result: cm²."""
    @overload
    def __call__(self, ventilation: _Numbers) -> _Array: ...

gas_opening: _GasOpening

class _GasDistance(Function):
    @overload
    def __call__(self, battery_capacity: _Number, gassing: _Number = ..., cells_per_block: _Number = ...) -> float:
        """Distance from a charging battery within which nothing may spark, glow or get hot. Result: mm."""
    @overload
    def __call__(
        self, battery_capacity: _Numbers, gassing: _Numbers = ..., cells_per_block: _Numbers = ...
    ) -> _Array: ...

gas_distance: _GasDistance

class _StateOfCharge(Function):
    @overload
    def __call__(
        self,
        energy_in: Sequence[float],
        energy_out: Sequence[float],
        battery_energy: _Number,
        start_charge: _Number = ...,
        lowest_charge: _Number = ...,
        through_battery: _Number = ...,
        charge_efficiency: _Number = ...,
        charge_limit: _Number = ...,
        step_number: _Number = ...,
    ) -> float:
        """State of charge after a step, from what is made and wanted hour by hour or day by day. Result: %."""
    @overload
    def __call__(
        self,
        energy_in: _Lists,
        energy_out: _Lists,
        battery_energy: _Numbers,
        start_charge: _Numbers = ...,
        lowest_charge: _Numbers = ...,
        through_battery: _Numbers = ...,
        charge_efficiency: _Numbers = ...,
        charge_limit: _Numbers = ...,
        step_number: _Numbers = ...,
    ) -> float | _Array: ...

state_of_charge: _StateOfCharge

class _LowestState(Function):
    @overload
    def __call__(
        self,
        energy_in: Sequence[float],
        energy_out: Sequence[float],
        battery_energy: _Number,
        start_charge: _Number = ...,
        lowest_charge: _Number = ...,
        through_battery: _Number = ...,
        charge_efficiency: _Number = ...,
        charge_limit: _Number = ...,
    ) -> float:
        """Lowest state of charge of a whole run, as of a year of days. Result: %."""
    @overload
    def __call__(
        self,
        energy_in: _Lists,
        energy_out: _Lists,
        battery_energy: _Numbers,
        start_charge: _Numbers = ...,
        lowest_charge: _Numbers = ...,
        through_battery: _Numbers = ...,
        charge_efficiency: _Numbers = ...,
        charge_limit: _Numbers = ...,
    ) -> float | _Array: ...

lowest_state: _LowestState

class _UnservedEnergy(Function):
    @overload
    def __call__(
        self,
        energy_in: Sequence[float],
        energy_out: Sequence[float],
        battery_energy: _Number,
        start_charge: _Number = ...,
        lowest_charge: _Number = ...,
        through_battery: _Number = ...,
        charge_efficiency: _Number = ...,
        charge_limit: _Number = ...,
    ) -> float:
        """Energy the loads wanted and did not get in a whole run. Result: Wh."""
    @overload
    def __call__(
        self,
        energy_in: _Lists,
        energy_out: _Lists,
        battery_energy: _Numbers,
        start_charge: _Numbers = ...,
        lowest_charge: _Numbers = ...,
        through_battery: _Numbers = ...,
        charge_efficiency: _Numbers = ...,
        charge_limit: _Numbers = ...,
    ) -> float | _Array: ...

unserved_energy: _UnservedEnergy

class _DumpedEnergy(Function):
    @overload
    def __call__(
        self,
        energy_in: Sequence[float],
        energy_out: Sequence[float],
        battery_energy: _Number,
        start_charge: _Number = ...,
        lowest_charge: _Number = ...,
        through_battery: _Number = ...,
        charge_efficiency: _Number = ...,
        charge_limit: _Number = ...,
    ) -> float:
        """Energy that neither the loads nor the battery took in a whole run; the dump load must take it. Result: Wh."""
    @overload
    def __call__(
        self,
        energy_in: _Lists,
        energy_out: _Lists,
        battery_energy: _Numbers,
        start_charge: _Numbers = ...,
        lowest_charge: _Numbers = ...,
        through_battery: _Numbers = ...,
        charge_efficiency: _Numbers = ...,
        charge_limit: _Numbers = ...,
    ) -> float | _Array: ...

dumped_energy: _DumpedEnergy

class _BoilingPoint(Function):
    @overload
    def __call__(self, altitude: _Number) -> float:
        """Temperature at which water boils at an altitude. Result: °C."""
    @overload
    def __call__(self, altitude: _Numbers) -> _Array: ...

boiling_point: _BoilingPoint

class _BoilTime(Function):
    @overload
    def __call__(
        self,
        volume: _Number,
        heater_power: _Number,
        temperature: _Number = ...,
        altitude: _Number = ...,
        heat_efficiency: _Number = ...,
    ) -> float:
        """Time to bring water to the boil with an electric heater, at an altitude. Result: min."""
    @overload
    def __call__(
        self,
        volume: _Numbers,
        heater_power: _Numbers,
        temperature: _Numbers = ...,
        altitude: _Numbers = ...,
        heat_efficiency: _Numbers = ...,
    ) -> _Array: ...

boil_time: _BoilTime

class _PipeMass(Function):
    @overload
    def __call__(
        self,
        outside: _Number,
        wall: _Number,
        length: _Number,
        material: Literal[
            "polyethylene", "pvc", "steel", "galvanised steel", "cast iron", "copper", "smooth hose", "ribbed hose"
        ],
    ) -> float:
        """Mass of an empty pipe from its outside diameter, wall and material. Result: kg."""
    @overload
    def __call__(
        self,
        outside: _Numbers,
        wall: _Numbers,
        length: _Numbers,
        material: Literal[
            "polyethylene", "pvc", "steel", "galvanised steel", "cast iron", "copper", "smooth hose", "ribbed hose"
        ]
        | Sequence[
            Literal[
                "polyethylene", "pvc", "steel", "galvanised steel", "cast iron", "copper", "smooth hose", "ribbed hose"
            ]
        ]
        | NDArray[Any],
    ) -> _Array: ...

pipe_mass: _PipeMass

class _CableMass(Function):
    @overload
    def __call__(
        self, length: _Number, area: _Number, material: Literal["copper", "aluminium"] = ..., covering: _Number = ...
    ) -> float:
        """Mass of a two-wire cable from its length, cross-section and metal. Result: kg."""
    @overload
    def __call__(
        self,
        length: _Numbers,
        area: _Numbers,
        material: Literal["copper", "aluminium"] | Sequence[Literal["copper", "aluminium"]] | NDArray[Any] = ...,
        covering: _Numbers = ...,
    ) -> _Array: ...

cable_mass: _CableMass

class _CapitalRecovery(Function):
    @overload
    def __call__(self, years: _Number, interest: _Number = ...) -> float:
        """Yearly payment that pays back a capital with interest, as a share of the capital. Result: %."""
    @overload
    def __call__(self, years: _Numbers, interest: _Numbers = ...) -> _Array: ...

capital_recovery: _CapitalRecovery

class _ReplacementWorth(Function):
    @overload
    def __call__(self, price: _Number, every: _Number, years: _Number, interest: _Number = ...) -> float:
        """Money to lay aside at the start so that a part can be bought again, at today's price, each time it wears out. Result: currency."""
    @overload
    def __call__(self, price: _Numbers, every: _Numbers, years: _Numbers, interest: _Numbers = ...) -> _Array: ...

replacement_worth: _ReplacementWorth

class _EnergyCost(Function):
    @overload
    def __call__(
        self, capital: _Number, yearly_upkeep: _Number, yearly_energy: _Number, years: _Number, interest: _Number = ...
    ) -> float:
        """What a kilowatt-hour costs over the life of the plant, from all that is paid for it. Result: currency/kWh."""
    @overload
    def __call__(
        self,
        capital: _Numbers,
        yearly_upkeep: _Numbers,
        yearly_energy: _Numbers,
        years: _Numbers,
        interest: _Numbers = ...,
    ) -> _Array: ...

energy_cost: _EnergyCost

class _PaybackTime(Function):
    @overload
    def __call__(self, capital: _Number, yearly_gain: _Number, interest: _Number = ...) -> float:
        """Years after which the plant has earned back what it cost, with interest; an error if never. Result: year."""
    @overload
    def __call__(self, capital: _Numbers, yearly_gain: _Numbers, interest: _Numbers = ...) -> _Array: ...

payback_time: _PaybackTime

class _MeasuredHead(Function):
    @overload
    def __call__(
        self,
        running_pressure: _Number,
        gauge_height: _Number,
        flow: _Number,
        bore: _Number,
        temperature: _Number = ...,
        gravity: _Number = ...,
    ) -> float:
        """Net head before the nozzle, from the gauge while water flows, its height and the flow. Result: m."""
    @overload
    def __call__(
        self,
        running_pressure: _Numbers,
        gauge_height: _Numbers,
        flow: _Numbers,
        bore: _Numbers,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
    ) -> _Array: ...

measured_head: _MeasuredHead

class _MeasuredEfficiency(Function):
    @overload
    def __call__(
        self, power: _Number, flow: _Number, net_head: _Number, temperature: _Number = ..., gravity: _Number = ...
    ) -> float:
        """Power delivered, of the power of the water before the nozzle. Result: %."""
    @overload
    def __call__(
        self, power: _Numbers, flow: _Numbers, net_head: _Numbers, temperature: _Numbers = ..., gravity: _Numbers = ...
    ) -> _Array: ...

measured_efficiency: _MeasuredEfficiency

class _SpeedFactor(Function):
    @overload
    def __call__(self, speed: _Number, pitch_diameter: _Number, net_head: _Number, gravity: _Number = ...) -> float:
        """Speed without dimension: equal wheels of any size run alike where it is equal."""
    @overload
    def __call__(
        self, speed: _Numbers, pitch_diameter: _Numbers, net_head: _Numbers, gravity: _Numbers = ...
    ) -> _Array: ...

speed_factor: _SpeedFactor

class _DischargeFactor(Function):
    @overload
    def __call__(self, flow: _Number, pitch_diameter: _Number, net_head: _Number, gravity: _Number = ...) -> float:
        """Flow without dimension: equal wheels of any size are loaded alike where it is equal."""
    @overload
    def __call__(
        self, flow: _Numbers, pitch_diameter: _Numbers, net_head: _Numbers, gravity: _Numbers = ...
    ) -> _Array: ...

discharge_factor: _DischargeFactor

class _CombinedUncertainty(Function):
    @overload
    def __call__(
        self, uncertainties: Sequence[float], sensitivities: Sequence[float], correlations: Sequence[float] = ...
    ) -> float:
        """Standard uncertainty of a result, from those of its inputs and what each does to the result: root of the sum of squares where they are independent."""
    @overload
    def __call__(self, uncertainties: _Lists, sensitivities: _Lists, correlations: _Lists = ...) -> float | _Array: ...

combined_uncertainty: _CombinedUncertainty

class _EffectiveDegrees(Function):
    @overload
    def __call__(self, contributions: Sequence[float], degrees_each: Sequence[float] = ...) -> float:
        """Degrees of freedom of a combined uncertainty (Welch-Satterthwaite); above a million it gives a million."""
    @overload
    def __call__(self, contributions: _Lists, degrees_each: _Lists = ...) -> float | _Array: ...

effective_degrees: _EffectiveDegrees

class _CoverageFactor(Function):
    @overload
    def __call__(self, degrees_of_freedom: _Number = ..., confidence: _Number = ...) -> float:
        """Factor that widens a standard uncertainty so that the interval holds the value with a given probability (Student's t)."""
    @overload
    def __call__(self, degrees_of_freedom: _Numbers = ..., confidence: _Numbers = ...) -> _Array: ...

coverage_factor: _CoverageFactor

class _FaultProbability(Function):
    @overload
    def __call__(
        self,
        fault: _Number,
        readings: Sequence[float],
        uncertainties: Sequence[float],
        gross_head: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        nozzle: _Number,
        pitch_diameter: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        battery_volts: _Number = ...,
        fittings: _Number = ...,
        jets: _Number = ...,
        velocity_coefficient: _Number = ...,
        contraction: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        available_flow: _Number = ...,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
        diode_drop: _Number = ...,
        cable_resistance: _Number = ...,
        iron_drag: _Number = ...,
        load: Literal["battery", "resistor", "controller"] = ...,
        load_resistance: _Number = ...,
        controller_efficiency: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
        gauge_height: _Number = ...,
    ) -> float:
        """Probability of a fault, given the readings of a test day and the plant as planned."""
    @overload
    def __call__(
        self,
        fault: _Numbers,
        readings: _Lists,
        uncertainties: _Lists,
        gross_head: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        nozzle: _Numbers,
        pitch_diameter: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        battery_volts: _Numbers = ...,
        fittings: _Numbers = ...,
        jets: _Numbers = ...,
        velocity_coefficient: _Numbers = ...,
        contraction: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        available_flow: _Numbers = ...,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        diode_drop: _Numbers = ...,
        cable_resistance: _Numbers = ...,
        iron_drag: _Numbers = ...,
        load: Literal["battery", "resistor", "controller"]
        | Sequence[Literal["battery", "resistor", "controller"]]
        | NDArray[Any] = ...,
        load_resistance: _Numbers = ...,
        controller_efficiency: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
        gauge_height: _Numbers = ...,
    ) -> float | _Array: ...

fault_probability: _FaultProbability

class _LikeliestFault(Function):
    @overload
    def __call__(
        self,
        rank: _Number,
        readings: Sequence[float],
        uncertainties: Sequence[float],
        gross_head: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        nozzle: _Number,
        pitch_diameter: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        battery_volts: _Number = ...,
        fittings: _Number = ...,
        jets: _Number = ...,
        velocity_coefficient: _Number = ...,
        contraction: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        available_flow: _Number = ...,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
        diode_drop: _Number = ...,
        cable_resistance: _Number = ...,
        iron_drag: _Number = ...,
        load: Literal["battery", "resistor", "controller"] = ...,
        load_resistance: _Number = ...,
        controller_efficiency: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
        gauge_height: _Number = ...,
    ) -> float:
        """Number of the likeliest fault (rank 1), the next (rank 2) and so on; 0 is all well."""
    @overload
    def __call__(
        self,
        rank: _Numbers,
        readings: _Lists,
        uncertainties: _Lists,
        gross_head: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        nozzle: _Numbers,
        pitch_diameter: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        battery_volts: _Numbers = ...,
        fittings: _Numbers = ...,
        jets: _Numbers = ...,
        velocity_coefficient: _Numbers = ...,
        contraction: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        available_flow: _Numbers = ...,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        diode_drop: _Numbers = ...,
        cable_resistance: _Numbers = ...,
        iron_drag: _Numbers = ...,
        load: Literal["battery", "resistor", "controller"]
        | Sequence[Literal["battery", "resistor", "controller"]]
        | NDArray[Any] = ...,
        load_resistance: _Numbers = ...,
        controller_efficiency: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
        gauge_height: _Numbers = ...,
    ) -> float | _Array: ...

likeliest_fault: _LikeliestFault

class _DiagnosisEstimate(Function):
    @overload
    def __call__(
        self,
        item: Literal[
            "gross_head",
            "roughness",
            "fittings",
            "velocity_coefficient",
            "nozzle",
            "alignment",
            "bearing_drag",
            "windage",
            "phase_volts",
            "phase_resistance",
            "cable_resistance",
        ],
        readings: Sequence[float],
        uncertainties: Sequence[float],
        gross_head: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        nozzle: _Number,
        pitch_diameter: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        battery_volts: _Number = ...,
        fittings: _Number = ...,
        jets: _Number = ...,
        velocity_coefficient: _Number = ...,
        contraction: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        available_flow: _Number = ...,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
        diode_drop: _Number = ...,
        cable_resistance: _Number = ...,
        iron_drag: _Number = ...,
        load: Literal["battery", "resistor", "controller"] = ...,
        load_resistance: _Number = ...,
        controller_efficiency: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
        gauge_height: _Number = ...,
    ) -> float:
        """A value of the plant as the readings show it, if the likeliest fault is the true one; in the unit of the item."""
    @overload
    def __call__(
        self,
        item: Literal[
            "gross_head",
            "roughness",
            "fittings",
            "velocity_coefficient",
            "nozzle",
            "alignment",
            "bearing_drag",
            "windage",
            "phase_volts",
            "phase_resistance",
            "cable_resistance",
        ]
        | Sequence[
            Literal[
                "gross_head",
                "roughness",
                "fittings",
                "velocity_coefficient",
                "nozzle",
                "alignment",
                "bearing_drag",
                "windage",
                "phase_volts",
                "phase_resistance",
                "cable_resistance",
            ]
        ]
        | NDArray[Any],
        readings: _Lists,
        uncertainties: _Lists,
        gross_head: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        nozzle: _Numbers,
        pitch_diameter: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        battery_volts: _Numbers = ...,
        fittings: _Numbers = ...,
        jets: _Numbers = ...,
        velocity_coefficient: _Numbers = ...,
        contraction: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        available_flow: _Numbers = ...,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        diode_drop: _Numbers = ...,
        cable_resistance: _Numbers = ...,
        iron_drag: _Numbers = ...,
        load: Literal["battery", "resistor", "controller"]
        | Sequence[Literal["battery", "resistor", "controller"]]
        | NDArray[Any] = ...,
        load_resistance: _Numbers = ...,
        controller_efficiency: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
        gauge_height: _Numbers = ...,
    ) -> float | _Array: ...

diagnosis_estimate: _DiagnosisEstimate

class _DiagnosisUncertainty(Function):
    @overload
    def __call__(
        self,
        item: Literal[
            "gross_head",
            "roughness",
            "fittings",
            "velocity_coefficient",
            "nozzle",
            "alignment",
            "bearing_drag",
            "windage",
            "phase_volts",
            "phase_resistance",
            "cable_resistance",
        ],
        readings: Sequence[float],
        uncertainties: Sequence[float],
        gross_head: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        nozzle: _Number,
        pitch_diameter: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        battery_volts: _Number = ...,
        fittings: _Number = ...,
        jets: _Number = ...,
        velocity_coefficient: _Number = ...,
        contraction: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        available_flow: _Number = ...,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
        diode_drop: _Number = ...,
        cable_resistance: _Number = ...,
        iron_drag: _Number = ...,
        load: Literal["battery", "resistor", "controller"] = ...,
        load_resistance: _Number = ...,
        controller_efficiency: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
        gauge_height: _Number = ...,
    ) -> float:
        """Standard uncertainty of DIAGNOSIS_ESTIMATE; large where no reading tells."""
    @overload
    def __call__(
        self,
        item: Literal[
            "gross_head",
            "roughness",
            "fittings",
            "velocity_coefficient",
            "nozzle",
            "alignment",
            "bearing_drag",
            "windage",
            "phase_volts",
            "phase_resistance",
            "cable_resistance",
        ]
        | Sequence[
            Literal[
                "gross_head",
                "roughness",
                "fittings",
                "velocity_coefficient",
                "nozzle",
                "alignment",
                "bearing_drag",
                "windage",
                "phase_volts",
                "phase_resistance",
                "cable_resistance",
            ]
        ]
        | NDArray[Any],
        readings: _Lists,
        uncertainties: _Lists,
        gross_head: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        nozzle: _Numbers,
        pitch_diameter: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        battery_volts: _Numbers = ...,
        fittings: _Numbers = ...,
        jets: _Numbers = ...,
        velocity_coefficient: _Numbers = ...,
        contraction: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        available_flow: _Numbers = ...,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        diode_drop: _Numbers = ...,
        cable_resistance: _Numbers = ...,
        iron_drag: _Numbers = ...,
        load: Literal["battery", "resistor", "controller"]
        | Sequence[Literal["battery", "resistor", "controller"]]
        | NDArray[Any] = ...,
        load_resistance: _Numbers = ...,
        controller_efficiency: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
        gauge_height: _Numbers = ...,
    ) -> float | _Array: ...

diagnosis_uncertainty: _DiagnosisUncertainty

class _ReadingMisfit(Function):
    @overload
    def __call__(
        self,
        reading: _Number,
        readings: Sequence[float],
        uncertainties: Sequence[float],
        gross_head: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        nozzle: _Number,
        pitch_diameter: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        battery_volts: _Number = ...,
        fittings: _Number = ...,
        jets: _Number = ...,
        velocity_coefficient: _Number = ...,
        contraction: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        available_flow: _Number = ...,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
        diode_drop: _Number = ...,
        cable_resistance: _Number = ...,
        iron_drag: _Number = ...,
        load: Literal["battery", "resistor", "controller"] = ...,
        load_resistance: _Number = ...,
        controller_efficiency: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
        gauge_height: _Number = ...,
    ) -> float:
        """How far a reading is from what plan and other readings let expect if all were well, in standard deviations."""
    @overload
    def __call__(
        self,
        reading: _Numbers,
        readings: _Lists,
        uncertainties: _Lists,
        gross_head: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        nozzle: _Numbers,
        pitch_diameter: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        battery_volts: _Numbers = ...,
        fittings: _Numbers = ...,
        jets: _Numbers = ...,
        velocity_coefficient: _Numbers = ...,
        contraction: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        available_flow: _Numbers = ...,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        diode_drop: _Numbers = ...,
        cable_resistance: _Numbers = ...,
        iron_drag: _Numbers = ...,
        load: Literal["battery", "resistor", "controller"]
        | Sequence[Literal["battery", "resistor", "controller"]]
        | NDArray[Any] = ...,
        load_resistance: _Numbers = ...,
        controller_efficiency: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
        gauge_height: _Numbers = ...,
    ) -> float | _Array: ...

reading_misfit: _ReadingMisfit

class _NextReading(Function):
    @overload
    def __call__(
        self,
        rank: _Number,
        readings: Sequence[float],
        uncertainties: Sequence[float],
        gross_head: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        nozzle: _Number,
        pitch_diameter: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        battery_volts: _Number = ...,
        fittings: _Number = ...,
        jets: _Number = ...,
        velocity_coefficient: _Number = ...,
        contraction: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        available_flow: _Number = ...,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
        diode_drop: _Number = ...,
        cable_resistance: _Number = ...,
        iron_drag: _Number = ...,
        load: Literal["battery", "resistor", "controller"] = ...,
        load_resistance: _Number = ...,
        controller_efficiency: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
        gauge_height: _Number = ...,
    ) -> float:
        """Place in the list of the reading, not yet taken, that best tells the two likeliest faults apart; 0 for none."""
    @overload
    def __call__(
        self,
        rank: _Numbers,
        readings: _Lists,
        uncertainties: _Lists,
        gross_head: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        nozzle: _Numbers,
        pitch_diameter: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        battery_volts: _Numbers = ...,
        fittings: _Numbers = ...,
        jets: _Numbers = ...,
        velocity_coefficient: _Numbers = ...,
        contraction: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        available_flow: _Numbers = ...,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        diode_drop: _Numbers = ...,
        cable_resistance: _Numbers = ...,
        iron_drag: _Numbers = ...,
        load: Literal["battery", "resistor", "controller"]
        | Sequence[Literal["battery", "resistor", "controller"]]
        | NDArray[Any] = ...,
        load_resistance: _Numbers = ...,
        controller_efficiency: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
        gauge_height: _Numbers = ...,
    ) -> float | _Array: ...

next_reading: _NextReading

class _ExpectedReading(Function):
    @overload
    def __call__(
        self,
        reading: _Number,
        readings: Sequence[float],
        uncertainties: Sequence[float],
        gross_head: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        nozzle: _Number,
        pitch_diameter: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        battery_volts: _Number = ...,
        fittings: _Number = ...,
        jets: _Number = ...,
        velocity_coefficient: _Number = ...,
        contraction: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        available_flow: _Number = ...,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
        diode_drop: _Number = ...,
        cable_resistance: _Number = ...,
        iron_drag: _Number = ...,
        load: Literal["battery", "resistor", "controller"] = ...,
        load_resistance: _Number = ...,
        controller_efficiency: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
        gauge_height: _Number = ...,
    ) -> float:
        """What a healthy plant as planned would read, at the load volts that were read; in the unit of the reading."""
    @overload
    def __call__(
        self,
        reading: _Numbers,
        readings: _Lists,
        uncertainties: _Lists,
        gross_head: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        nozzle: _Numbers,
        pitch_diameter: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        battery_volts: _Numbers = ...,
        fittings: _Numbers = ...,
        jets: _Numbers = ...,
        velocity_coefficient: _Numbers = ...,
        contraction: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        available_flow: _Numbers = ...,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        diode_drop: _Numbers = ...,
        cable_resistance: _Numbers = ...,
        iron_drag: _Numbers = ...,
        load: Literal["battery", "resistor", "controller"]
        | Sequence[Literal["battery", "resistor", "controller"]]
        | NDArray[Any] = ...,
        load_resistance: _Numbers = ...,
        controller_efficiency: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
        gauge_height: _Numbers = ...,
    ) -> float | _Array: ...

expected_reading: _ExpectedReading

class _ExpectedSpread(Function):
    @overload
    def __call__(
        self,
        reading: _Number,
        readings: Sequence[float],
        uncertainties: Sequence[float],
        gross_head: _Number,
        length: _Number,
        bore: _Number,
        roughness: _Number,
        nozzle: _Number,
        pitch_diameter: _Number,
        phase_volts: _Number,
        pole_pairs: _Number,
        phase_resistance: _Number,
        battery_volts: _Number = ...,
        fittings: _Number = ...,
        jets: _Number = ...,
        velocity_coefficient: _Number = ...,
        contraction: _Number = ...,
        temperature: _Number = ...,
        gravity: _Number = ...,
        available_flow: _Number = ...,
        deflection: _Number = ...,
        cup_friction: _Number = ...,
        alignment: _Number = ...,
        bearing_drag: _Number = ...,
        windage: _Number = ...,
        phase_inductance: _Number = ...,
        connection: Literal["star", "delta"] = ...,
        diode_drop: _Number = ...,
        cable_resistance: _Number = ...,
        iron_drag: _Number = ...,
        load: Literal["battery", "resistor", "controller"] = ...,
        load_resistance: _Number = ...,
        controller_efficiency: _Number = ...,
        length_2: _Number = ...,
        bore_2: _Number = ...,
        roughness_2: _Number = ...,
        length_3: _Number = ...,
        bore_3: _Number = ...,
        roughness_3: _Number = ...,
        gauge_height: _Number = ...,
    ) -> float:
        """Standard deviation of EXPECTED_READING over healthy plants, the meter's own not counted."""
    @overload
    def __call__(
        self,
        reading: _Numbers,
        readings: _Lists,
        uncertainties: _Lists,
        gross_head: _Numbers,
        length: _Numbers,
        bore: _Numbers,
        roughness: _Numbers,
        nozzle: _Numbers,
        pitch_diameter: _Numbers,
        phase_volts: _Numbers,
        pole_pairs: _Numbers,
        phase_resistance: _Numbers,
        battery_volts: _Numbers = ...,
        fittings: _Numbers = ...,
        jets: _Numbers = ...,
        velocity_coefficient: _Numbers = ...,
        contraction: _Numbers = ...,
        temperature: _Numbers = ...,
        gravity: _Numbers = ...,
        available_flow: _Numbers = ...,
        deflection: _Numbers = ...,
        cup_friction: _Numbers = ...,
        alignment: _Numbers = ...,
        bearing_drag: _Numbers = ...,
        windage: _Numbers = ...,
        phase_inductance: _Numbers = ...,
        connection: Literal["star", "delta"] | Sequence[Literal["star", "delta"]] | NDArray[Any] = ...,
        diode_drop: _Numbers = ...,
        cable_resistance: _Numbers = ...,
        iron_drag: _Numbers = ...,
        load: Literal["battery", "resistor", "controller"]
        | Sequence[Literal["battery", "resistor", "controller"]]
        | NDArray[Any] = ...,
        load_resistance: _Numbers = ...,
        controller_efficiency: _Numbers = ...,
        length_2: _Numbers = ...,
        bore_2: _Numbers = ...,
        roughness_2: _Numbers = ...,
        length_3: _Numbers = ...,
        bore_3: _Numbers = ...,
        roughness_3: _Numbers = ...,
        gauge_height: _Numbers = ...,
    ) -> float | _Array: ...

expected_spread: _ExpectedSpread

class _Diagnosis(Function):
    def __call__(
        self,
        plant: Mapping[str, Any],
        quantity: Literal[
            "fault_probability",
            "likeliest_fault",
            "diagnosis_estimate",
            "diagnosis_uncertainty",
            "reading_misfit",
            "next_reading",
            "expected_reading",
            "expected_spread",
        ],
        which: float | str,
        readings: _Lists,
        uncertainties: _Lists,
        names: str | Sequence[str] = ...,
        values: Any = ...,
    ) -> Any:
        """Any answer of the diagnosis for a plant that stands in two columns of names and values; with other values for some inputs if you like."""

diagnosis: _Diagnosis

class _Trend(Function):
    @overload
    def __call__(self, values: Sequence[float], days: Sequence[float], counted: Sequence[float] = ...) -> float:
        """Change of readings in a month: slope of the straight line through them. Result: 1/month."""
    @overload
    def __call__(self, values: _Lists, days: _Lists, counted: _Lists = ...) -> float | _Array: ...

trend: _Trend

class _TrendError(Function):
    @overload
    def __call__(self, values: Sequence[float], days: Sequence[float], counted: Sequence[float] = ...) -> float:
        """Standard error of TREND: how far off it may well be, if each entry stands for itself. Result: 1/month."""
    @overload
    def __call__(self, values: _Lists, days: _Lists, counted: _Lists = ...) -> float | _Array: ...

trend_error: _TrendError

class _TrendLimit(Function):
    @overload
    def __call__(self, values: Sequence[float], days: Sequence[float], counted: Sequence[float] = ...) -> float:
        """How large TREND must be, up or down, to be beyond doubt at 95 %, though each entry may resemble the one before. Result: 1/month."""
    @overload
    def __call__(self, values: _Lists, days: _Lists, counted: _Lists = ...) -> float | _Array: ...

trend_limit: _TrendLimit

class _SlowChange(Function):
    @overload
    def __call__(self, values: Sequence[float], days: Sequence[float], counted: Sequence[float] = ...) -> float:
        """Slow change of readings in a month: dry spells, faults that were mended and one lasting step left out. 6 entries. Result: 1/month."""
    @overload
    def __call__(self, values: _Lists, days: _Lists, counted: _Lists = ...) -> float | _Array: ...

slow_change: _SlowChange

class _SlowChangeLimit(Function):
    @overload
    def __call__(self, values: Sequence[float], days: Sequence[float], counted: Sequence[float] = ...) -> float:
        """How large SLOW_CHANGE must be to be beyond doubt at 98 %, and how far off it may be, either way. Result: 1/month."""
    @overload
    def __call__(self, values: _Lists, days: _Lists, counted: _Lists = ...) -> float | _Array: ...

slow_change_limit: _SlowChangeLimit

class _SlowChangeBegin(Function):
    @overload
    def __call__(
        self, values: Sequence[float], days: Sequence[float], counted: Sequence[float] = ..., side: _Number = ...
    ) -> float:
        """Day on which SLOW_CHANGE began, of those of the entries; that of the first one where no later day stands out. Result: day."""
    @overload
    def __call__(self, values: _Lists, days: _Lists, counted: _Lists = ..., side: _Numbers = ...) -> float | _Array: ...

slow_change_begin: _SlowChangeBegin

class _SlowChangeStep(Function):
    @overload
    def __call__(self, values: Sequence[float], days: Sequence[float], counted: Sequence[float] = ...) -> float:
        """Size of the one lasting step among readings that change slowly, as after a repair: above 0 is up; 0: none."""
    @overload
    def __call__(self, values: _Lists, days: _Lists, counted: _Lists = ...) -> float | _Array: ...

slow_change_step: _SlowChangeStep

class _SlowChangeStepDay(Function):
    @overload
    def __call__(self, values: Sequence[float], days: Sequence[float], counted: Sequence[float] = ...) -> float:
        """Day of the first entry after the one lasting step among readings that change slowly. No step: out of range. Result: day."""
    @overload
    def __call__(self, values: _Lists, days: _Lists, counted: _Lists = ...) -> float | _Array: ...

slow_change_step_day: _SlowChangeStepDay

class _SlowChangeEntries(Function):
    @overload
    def __call__(self, values: Sequence[float], days: Sequence[float], counted: Sequence[float] = ...) -> float:
        """How many readings SLOW_CHANGE rests on: those in no dip and not far off its line."""
    @overload
    def __call__(self, values: _Lists, days: _Lists, counted: _Lists = ...) -> float | _Array: ...

slow_change_entries: _SlowChangeEntries
