"""What the chain is computed from, by name: the unit, and which numbers and words make sense.

The readings are computed for every value that passes here: a trial puts each to its limits.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from quizgen.bank.fields import amount, fits, si
from quizgen.expression.parse import ExpressionError
from quizgen.expression.units import UnitList, read_unit
from quizgen.tracing.data import Value


@dataclass(frozen=True, slots=True)
class Parameter:
    """A number of the chain that a fault may change, or a state in words."""

    unit: str = ""
    words: tuple[str, ...] = ()
    """All it can be, where it is no number."""
    zero: bool = False
    negative: bool = False
    opens: bool = False
    """Whether it may be "open", which is infinite; then it may be "short" too if zero is allowed."""


LEAST, MOST = 1e-12, 1e12
"""A number other than 0 lies between, in SI."""

_NUMBERS = {
    "": "n_ph M_one_line M_three_lines L_V_share R_hot_factor",
    "V": "U_ph U_s U_loop U_B",
    "A": "I_limit I_trip_DC I_trip_AC",
    "Ω": "R_s R_src R_v R_hot R_warn R_stop",
    "F": "C_F C_b",
    "H": "L_d L_w",
    "Hz": "f f_rectifier f_s",
    "W": "P_hot_relay P_hot_lug P_hot_link",
    "K": "rise_hot",
    "K/W": "resistance_hot resistance_dry",
}
_OR_ZERO = {
    "": "d_gain fault_place",
    "V": "U_D U_drop U_diode U_rest U_charging U_pull_in U_leg",
    "A": "pump_current",
    "F": "C_X_L1 C_X_L2 C_X_L3 C_Y",
    "J": "E_sw",
    "L/min": "V_dot",
    "W/K": "Q_cooling",
}
_OR_OPEN = {
    "Ω": "R_PP R_PP_other PP_wire R_PE R_c R_pin R_bleed_L1 R_bleed_L2 R_bleed_L3 R_X_L1 R_path_L1 R_path_L2 R_path_L3 "
    "R_Y_500V R_inlet_PE R_coil_L1 R_coil_L2 R_coil_L3 R_con_L1 R_con_L2 R_con_L3 R_off_L1 R_bleed_F R_d R_lug "
    "R_choke_PE R_cable_PE R_bus_1 R_bus_2 R_U R_V R_W R_star_PE R_bleed_b R_ESR R_link_PE R_bus_load R_pre "
    "R_coil_plus R_coil_minus R_loop R_battery_PE",
    "s": "t_active",
}
_SIGNED = {"A": "d_offset leg_offset_W", "K": "ntc_offset"}
_WORDS = {
    "driver_A": "good dead", "driver_C": "good dead", "upper_A": "good short", "series_A": "good short",
    "freewheel": "good open short", "d_supply": "good dead", "lower_U": "good open", "lower_V": "good short",
    "upper_W": "good open", "minus_contact": "good welded", "pilot_diode": "good open short",
}  # fmt: skip
NOT_NEEDED = ("C_Y", "Q_cooling", "fault_place")
"""Told about the chain, but nothing is computed from them."""


def _all() -> dict[str, Parameter]:
    made = {name: Parameter(words=tuple(words.split())) for name, words in _WORDS.items()}
    for group, parameter in (
        (_NUMBERS, Parameter()),
        (_OR_ZERO, Parameter(zero=True)),
        (_OR_OPEN, Parameter(zero=True, opens=True)),
        (_SIGNED, Parameter(zero=True, negative=True)),
    ):
        for unit, names in group.items():
            for name in names.split():
                made[name] = Parameter(unit, (), parameter.zero, parameter.negative, parameter.opens)
    return made


PARAMETERS = _all()


def read_value(text: str, name: str, units: UnitList) -> Value:
    """The value in SI, or the word. Raises ExpressionError where it is none that the chain can be computed from."""
    parameter, plain = PARAMETERS[name], text.strip()
    if parameter.words:
        if plain not in parameter.words:
            raise ExpressionError(f"{name} is {' / '.join(parameter.words)}: use one of these words", 0)
        return plain
    if parameter.opens and plain in ("open", "short"):
        return inf if plain == "open" else 0.0
    if plain in ("open", "short", "good", "dead", "welded"):
        raise ExpressionError(
            f'{name} is a number{f" in {parameter.unit}" if parameter.unit else ""}, not "{plain}"', 0
        )
    found = amount(plain, units)
    fits(found, read_unit(parameter.unit or "1", units), name)
    value = si(found)
    if value < 0 and not parameter.negative:
        raise ExpressionError(f"{name} cannot be negative", 0)
    if value == 0 and not parameter.zero:
        raise ExpressionError(f"{name} cannot be 0", 0)
    if value and not LEAST <= abs(value) <= MOST:
        raise ExpressionError(f"{name}: {plain} is no number of a van: check its unit and its zeros", 0)
    if name == "n_ph" and value not in (1, 3):
        raise ExpressionError("n_ph is 1 or 3, the lines of the supply", 0)
    return value
