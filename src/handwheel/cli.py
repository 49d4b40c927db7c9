"""The command line: a stable contract of commands, exit codes and answers.

Exit 0 done, 1 the check found stops or the look-up nothing, 2 input not usable (one line per fault on
standard error, nothing on standard output), 3 our fault. Each command imports what it needs when it runs:
neither the version nor a calculation nor a check loads the screens.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from io import TextIOWrapper
from typing import Any, NoReturn, TextIO, TypeAlias

from handwheel import __version__
from handwheel.errors import HandwheelError, InputError, one_line
from handwheel.ui.start import LOOKS

__all__ = ["main"]

_Commands: TypeAlias = "argparse._SubParsersAction[_Parser]"

DONE, STOPS, NOT_USABLE, OUR_FAULT = 0, 1, 2, 3


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and give its exit code; never lets a traceback out."""
    try:
        _take_any_streams()
        return _answered(arguments)
    except HandwheelError as fault:
        return _not_usable(str(fault))
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:  # whoever read the answers has seen enough
        _let_go(sys.stdout)
        return DONE
    except Exception as fault:
        if isinstance(fault, OSError) and fault.strerror:  # what the system refuses is no fault of ours
            _let_go(sys.stdout)
            return _not_usable(f"{fault.filename or 'the answer cannot be written'}: {fault.strerror}")
        from handwheel.store.folders import write_report

        _tell(f"a fault of this program; the report is {write_report(fault)}")
        return OUR_FAULT


def _answered(arguments: Sequence[str] | None) -> int:
    """Run one command until its answer has left this program."""
    try:
        options = _parser().parse_args(arguments)
    except SystemExit:  # help and version are answers of the parser's own
        code = DONE
    else:
        command: Callable[[argparse.Namespace], int] = options.command
        code = command(options)
    sys.stdout.flush()
    return code


def _not_usable(text: str) -> int:
    for line in text.splitlines():
        _tell(line)
    return NOT_USABLE


def _tell(line: str) -> None:
    try:
        print(f"handwheel: {one_line(line)}", file=sys.stderr, flush=True)
    except OSError:  # nobody is there to be told
        _let_go(sys.stderr)


def _let_go(stream: TextIO) -> None:
    """See to it that what a stream has not taken is not tried again at exit."""
    with suppress(OSError, ValueError):  # ValueError: a stream of no file, such as a test puts there
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _take_any_streams() -> None:
    """Write what a terminal cannot show as its number, and read what is no text as a sign that says so.

    A stream that was closed before the start gets the null device: the exit code is an answer too. And no
    file that is opened later comes to stand where others would write to it.
    """
    for name, mode, errors in (
        ("stdin", "r", "replace"),
        ("stdout", "w", "backslashreplace"),
        ("stderr", "w", "backslashreplace"),
    ):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115 (until the end)
        stream = getattr(sys, name)
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors=errors)


class _Parser(argparse.ArgumentParser):
    """A parser that says what is wrong in one line, as every other fault is said."""

    def error(self, message: str) -> NoReturn:
        """Raise instead of printing the usage."""
        raise InputError(f"{message}; see {self.prog} --help")


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="handwheel", description="From a drawing to a finished, measured, recorded part.")
    parser.add_argument("--version", action="version", version=f"handwheel {__version__}")
    _add_look(parser)
    parser.set_defaults(command=_app)
    commands = parser.add_subparsers(title="commands", parser_class=_Parser, metavar="COMMAND")
    _add_working(commands)
    _add_looking(commands)
    _add_calc(commands)
    _add_look_up(commands)
    _add_files_and_keys(commands)
    return parser


def _add_working(commands: _Commands) -> None:
    demo = commands.add_parser("demo", help="a ready job in a new folder, opened")
    demo.add_argument("--folder", help="the folder to make; it has to be new or empty")
    demo.add_argument(
        "--example",
        choices=("carrier", "plate"),
        default="carrier",
        help="which part: a bearing carrier from lathe and mill, or a plate from the mill",
    )
    demo.add_argument("--no-open", action="store_true", help="make it and leave it at that")
    _add_look(demo)
    demo.set_defaults(command=_demo)

    opening = commands.add_parser("open", help="a job, by path or name")
    opening.add_argument("job")
    _add_look(opening)
    opening.set_defaults(command=_open)

    run = commands.add_parser("run", help="a job, line by line")
    run.add_argument("job")
    run.add_argument("--plain", action="store_true", help="one line in, lines out")
    _add_look(run)
    run.set_defaults(command=_run)


def _add_looking(commands: _Commands) -> None:
    for name, command, text in (
        ("check", _check, "what will go wrong; exit 1 where there are stops"),
        ("plan", _plan, "every operation resolved: steps, values, where they come from"),
    ):
        one = commands.add_parser(name, help=text)
        one.add_argument("job")
        one.add_argument("--json", action="store_true")
        one.set_defaults(command=command)

    sheet = commands.add_parser("sheet", help="the plan and what was done, on paper: HTML, Markdown, text")
    sheet.add_argument("job")
    sheet.add_argument(
        "--format", choices=("html", "md", "txt"), help="else the ending of FILE says, else md"
    )
    sheet.add_argument("-o", dest="output", metavar="FILE", help="written there; an older sheet is replaced")
    sheet.set_defaults(command=_sheet)

    log = commands.add_parser("log", help="what was done, entry by entry")
    log.add_argument("job")
    log.set_defaults(command=_log)


def _add_calc(commands: _Commands) -> None:
    calc = commands.add_parser("calc", help="one calculation, or the list of them")
    calc.add_argument("id", nargs="?")
    calc.add_argument("inputs", nargs="*", metavar="name=value")
    calc.add_argument("--json", action="store_true")
    calc.add_argument("--explain", action="store_true", help="formula, values put in, source")
    calc.add_argument("--stdin", action="store_true", help='JSON lines {"id": …, "inputs": {…}} answered')
    calc.add_argument("--markdown", action="store_true", help="the reference page: all of them, as Markdown")
    calc.set_defaults(command=_calc)


def _add_look_up(commands: _Commands) -> None:
    look = commands.add_parser(
        "look", help="a thread, drill, zone, material, calculation or recipe; exit 1 where nothing is found"
    )
    look.add_argument("query", nargs="+", metavar="QUERY", help='M8, 6.8, 1/4-20, "47 H7", C45, chamfer …')
    look.add_argument("--json", action="store_true")
    look.set_defaults(command=_look)


def _add_files_and_keys(commands: _Commands) -> None:
    recipes = commands.add_parser("recipes", help="the recipes: list, show one, check them all")
    recipes.add_argument("action", nargs="?", choices=("list", "show", "check"), default="list")
    recipes.add_argument("recipe", nargs="?", metavar="ID", help="the recipe to show")
    recipes.add_argument("--json", action="store_true")
    recipes.set_defaults(command=_recipes)

    schema = commands.add_parser("schema", help="JSON Schema of a file, for completion in an editor")
    schema.add_argument("file", choices=("job", "shop", "recipe"))
    schema.set_defaults(command=_schema)

    keys = commands.add_parser("keys", help="every key and what it does")
    keys.set_defaults(command=_keys)


def _add_look(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--look",
        choices=LOOKS,
        default=argparse.SUPPRESS,
        help="colours and signs of the screens; without it the terminal is asked",
    )


# --- the screens -------------------------------------------------------------------------------------


def _app(options: argparse.Namespace) -> int:
    from handwheel.ui.start import start

    return start(None, getattr(options, "look", ""))


def _open(options: argparse.Namespace) -> int:
    from handwheel.store.folders import find_job
    from handwheel.ui.start import start

    return start(find_job(options.job), getattr(options, "look", ""))


def _demo(options: argparse.Namespace) -> int:
    from handwheel.demo import make_demo

    folder, made = make_demo(options.folder, options.example)
    code = DONE
    if not options.no_open:
        from handwheel.ui.start import start

        code = start(folder, getattr(options, "look", ""))
    # Said when the screens are gone, so that it can be read, and not at all where there are none (exit 2).
    print(f"{'made' if made else 'there already'}: {one_line(str(folder))}")
    return code


def _run(options: argparse.Namespace) -> int:
    if not options.plain:
        return _open(options)
    from handwheel.plain import run_plain
    from handwheel.sitting import Sitting
    from handwheel.store.folders import find_job

    return run_plain(Sitting.open(find_job(options.job)), sys.stdin, sys.stdout)


# --- looking at a job ----------------------------------------------------------------------------------


def _check(options: argparse.Namespace) -> int:
    from handwheel.present.answers import finding_json
    from handwheel.present.reports import finding_lines
    from handwheel.store.folders import find_job
    from handwheel.store.jobs import load_job, place_of

    opened = load_job(find_job(options.job))
    _tell_all(opened.said)
    system = opened.plan.job.job.units
    found = [finding_json(one, place_of(one, opened.texts), system) for one in opened.plan.findings]
    counts = {f"{kind}s": sum(one["severity"] == kind for one in found) for kind in ("stop", "doubt", "note")}
    if options.json:
        _print_json({"findings": found, **counts})
    else:
        for line in finding_lines(found, counts):
            print(line)
    return STOPS if counts["stops"] else DONE


def _plan(options: argparse.Namespace) -> int:
    from handwheel.present.answers import plan_json
    from handwheel.present.reports import plan_lines
    from handwheel.store.folders import find_job
    from handwheel.store.jobs import load_job, place_of

    opened = load_job(find_job(options.job))
    _tell_all(opened.said)
    if options.json:
        _print_json(plan_json(opened.plan, lambda one: place_of(one, opened.texts)))
    else:
        for line in plan_lines(opened.plan):
            print(line)
    return DONE


def _log(options: argparse.Namespace) -> int:
    from datetime import datetime

    from handwheel.present.reports import log_lines
    from handwheel.store.folders import find_job
    from handwheel.store.record import load

    loaded = load(find_job(options.job), clock=lambda: datetime.now().astimezone(), move=False)
    _tell_all(loaded.said)
    for line in log_lines(loaded.record.events):
        print(line)
    return DONE


def _sheet(options: argparse.Namespace) -> int:
    from datetime import datetime
    from pathlib import Path

    from handwheel.report.write import format_for, sheet_text, write_sheet
    from handwheel.run.state import fold
    from handwheel.store.folders import find_job
    from handwheel.store.jobs import load_job, place_of
    from handwheel.store.record import load

    path = Path(options.output) if options.output is not None else None
    form = format_for(path, options.format)
    opened = load_job(find_job(options.job))
    loaded = load(opened.folder, clock=lambda: datetime.now().astimezone(), move=False)
    _tell_all((*opened.said, *loaded.said))
    state = fold(loaded.record.events)
    text = sheet_text(opened.plan, state, lambda one: place_of(one, opened.texts), form)
    if path is None:
        sys.stdout.write(text)
    else:
        write_sheet(path, text)
    return DONE


def _tell_all(said: Iterable[str]) -> None:
    for line in said:
        _tell(line)


# --- calculations --------------------------------------------------------------------------------------


def _calc(options: argparse.Namespace) -> int:
    if options.stdin:
        from handwheel.pipe import answer_lines

        answer_lines(sys.stdin.buffer, sys.stdout.buffer)
        return DONE
    if options.markdown:
        from handwheel.present.reference import reference_page

        print(reference_page(), end="")
        return DONE
    from handwheel.calc import CATALOGUE
    from handwheel.present.calls import call_json, call_lines, catalogue_json, catalogue_lines
    from handwheel.typed import inputs_from_words
    from handwheel.values import Computed

    if options.id is None:
        if options.json:
            _print_json(catalogue_json())
        else:
            print("\n".join(catalogue_lines()))
        return DONE
    calculation = CATALOGUE.find(options.id)
    results = calculation.run(inputs_from_words(calculation, options.inputs))
    origin = next(iter(results.values())).origin
    assert isinstance(origin, Computed)  # what `run` gives is computed
    if options.json:
        _print_json(call_json(origin.call, results))
    else:
        print("\n".join(call_lines(origin.call, results, options.explain)))
    return DONE


def _look(options: argparse.Namespace) -> int:
    from handwheel.look import NothingFoundError, look
    from handwheel.present.look_view import look_json, look_lines

    query = " ".join(options.query)
    try:
        answers = look(query)
    except NothingFoundError as nothing:
        if options.json:
            _print_json(look_json(query, ()))
        _tell(str(nothing))
        return STOPS
    if options.json:
        _print_json(look_json(query, answers))
    else:
        for line in look_lines(answers):
            print(one_line(line))
    return DONE


# --- recipes, shapes, keys -------------------------------------------------------------------------------


def _recipes(options: argparse.Namespace) -> int:
    from handwheel.errors import FaultsError
    from handwheel.present.recipes import check_examples, recipe_lines, recipes_json, show_recipe
    from handwheel.store.jobs import load_library

    if options.action == "show" and options.recipe is None:
        raise InputError("which recipe? name it: handwheel recipes show drill; handwheel recipes lists them")
    if options.action != "show" and options.recipe is not None:
        raise InputError(f"recipes {options.action} is of all recipes; handwheel recipes show ID is of one")
    library = load_library()
    if library.faults:
        raise FaultsError(library.faults)
    if options.action == "check":
        wrong = list(check_examples(library))
        if wrong:
            raise InputError("\n".join(wrong))
        print(f"{len(library.recipes)} recipes: every reference, unit and example holds")
    elif options.action == "show":
        print("\n".join(show_recipe(library, options.recipe)))
    elif options.json:
        _print_json(recipes_json(library))
    else:
        print("\n".join(recipe_lines(library)))
    return DONE


def _schema(options: argparse.Namespace) -> int:
    from pydantic import BaseModel

    from handwheel.models.job import Job
    from handwheel.models.recipe import Recipe
    from handwheel.models.shop import Shop

    shapes: dict[str, type[BaseModel]] = {"job": Job, "shop": Shop, "recipe": Recipe}
    _print_json(shapes[options.file].model_json_schema())
    return DONE


def _keys(options: argparse.Namespace) -> int:
    from handwheel.commands import key_lines

    print("\n".join(key_lines()))
    return DONE


def _print_json(answer: Any) -> None:
    import json

    print(json.dumps(answer, ensure_ascii=False))
