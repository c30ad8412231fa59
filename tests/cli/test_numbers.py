"""Every option that takes a number refuses what is none, and what makes no sense."""

import click
import pytest

from captriage.cli import app
from captriage.cli.options import VOLTS

NONE = ("nan", "inf", "-inf", "1e400", "-1e400", "", "many", "1e30")


def with_numbers(command=app, words=()):
    """Each command and option, or argument, that takes a number."""
    if isinstance(command, click.Group):
        for name, inner in command.commands.items():
            yield from with_numbers(inner, (*words, name))
    for each in command.params:
        if not isinstance(each.type, click.types.StringParamType | click.Path | click.Choice):
            is_switch = isinstance(each.type, click.types.BoolParamType)
            if not is_switch and not isinstance(each.type, click.types.UnprocessedParamType):
                yield " ".join((*words, each.opts[-1])), each


NUMBERS = dict(with_numbers())


def test_the_options_that_take_numbers_are_found():
    wanted = {"log parts --level", "log parts --temperature", "log soak --voltage", "expect --soak"}
    wanted |= {"expect --temperature", "rehearse --pause", "rehearse --seed", "book strike number"}
    assert wanted <= NUMBERS.keys()


@pytest.mark.parametrize("written", NONE)
@pytest.mark.parametrize("name", NUMBERS)
def test_what_is_no_number_or_makes_no_sense_is_refused(name, written):
    option = NUMBERS[name]
    with pytest.raises(click.BadParameter, match=r"allowed|not a|range"):
        option.type.convert(written, option, None)


@pytest.mark.parametrize("name", sorted(NUMBERS.keys() - {"rehearse --seed"}))
def test_less_than_nothing_is_refused_but_for_a_temperature(name):
    option = NUMBERS[name]
    below = "-273.15" if name.endswith("--temperature") else "-1"
    with pytest.raises(click.BadParameter, match=r"above -?[0-9.]+ and up to|range"):
        option.type.convert(below, option, None)


def test_a_number_is_taken_as_it_is_written():
    option = NUMBERS["log parts --temperature"]
    assert option.type.convert("-12.5", option, None) == -12.5


def test_the_command_says_it_in_one_line(captriage):
    answer = captriage("log", "--job", "x", "--level", "nan")
    assert (answer.status, answer.out) == (2, "")
    wanted = "captriage: Invalid value for '--level': nan; above 0 and up to 100000 is allowed"
    assert answer.err.startswith(wanted)
    answer = captriage("book", "strike", "9" * 30, "--because", "x")
    assert answer.status == 2
    assert "is not in the range" in answer.err


@pytest.mark.parametrize("written", ["345", "345V", "345 V", " 345 v"])
def test_a_voltage_may_be_written_with_its_unit(written):
    assert VOLTS.convert(written, None, None) == 345.0


@pytest.mark.parametrize("written", ["345 mV", "345 kV", "V", "345 A"])
def test_a_voltage_in_another_unit_is_refused(written):
    with pytest.raises(click.BadParameter, match="is not a number"):
        VOLTS.convert(written, None, None)
