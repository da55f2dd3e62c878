"""The command ``haulday``: arguments in, exit code out. What each verb does is in ``run_plan`` and its like.

Only typer is imported here; everything else inside the verb that needs it, so that ``--help`` is quick.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class Step(StrEnum):
    """The steps of effort; the search has its own list, which would be slow to import here."""

    QUICK = "quick"
    NORMAL = "normal"
    PROVE = "prove"


app = typer.Typer(
    name="haulday",
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    epilog="Example: haulday plan fleet.xlsx moves.xlsx -o plan.xlsx",
)

Inputs = Annotated[
    list[Path],
    typer.Argument(
        metavar="INPUT...",
        exists=True,
        help="Workbooks (.xlsx), .csv files named after their sheet, or folders of these; later ones add rows.",
        show_default=False,
    ),
]
Quiet = Annotated[bool, typer.Option("--quiet", help="Print errors only.")]
Force = Annotated[bool, typer.Option("--force", help="Replace outputs that exist; inputs are never replaced.")]


def _version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version  # noqa: PLC0415 - see the module's docstring

        typer.echo(f"haulday {version('haulday')}")
        raise typer.Exit


@app.callback()
def haulday(
    _: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and leave.")
    ] = False,
) -> None:
    """Plans which machine rides on which truck and trailer, where on the deck and when.

    Exit codes: 0 done; 1 a bug or a failed verification, nothing written; 2 wrong usage; 3 problems in the
    input, all listed, nothing written; 4 plan written, some moves left out; 5 stopped before any plan.
    """


@app.command()
def plan(
    inputs: Inputs,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", metavar="FILE", help="Schedule workbook to write (.xlsx).")
    ] = None,
    json: Annotated[
        Path | None, typer.Option("--json", metavar="FILE", help="Write the plan as JSON (also).")
    ] = None,
    html: Annotated[
        Path | None,
        typer.Option(
            "--html", metavar="FILE", help="Write the plan as one page for a telephone or a browser (also)."
        ),
    ] = None,
    day: Annotated[
        str, typer.Option("--day", metavar="NAME", help="Which day, when Moves holds several.", show_default=False)
    ] = "",
    variant: Annotated[
        str,
        typer.Option("--variant", metavar="NAME", help="Which fleet; default: the first row of Variants."),
    ] = "",
    time_limit: Annotated[
        float | None,
        typer.Option(min=0.1, metavar="SECONDS", help="Longest search; default: Settings, Time limit (s)."),
    ] = None,
    seed: Annotated[int, typer.Option(min=0, help="Seed of the search.")] = 0,
    workers: Annotated[
        int, typer.Option(min=1, help="Solver workers; as many again give the same plan again.")
    ] = 1,
    effort: Annotated[
        Step, typer.Option("--effort", help="Work before the search ends of itself, within its time.")
    ] = Step.NORMAL,
    force: Force = False,
    quiet: Quiet = False,
) -> None:
    """Plan the day and write the schedule workbook.

    Reads the inputs, searches, verifies the plan on its own and only then writes it. Ctrl-C stops the search
    and writes the best verified plan so far.

    Example: haulday plan fleet.xlsx moves.xlsx -o plan.xlsx --json plan.json
    """
    if output is None and json is None and html is None:
        words = "nothing to write: give -o plan.xlsx, --json plan.json or --html plan.html"
        raise typer.BadParameter(words, param_hint="-o")
    _need_suffix(output, ".xlsx", "-o")
    _need_suffix(html, ".html", "--html")
    with _stoppable():
        from dispatch.io.run_plan import PlanRequest, run_plan  # noqa: PLC0415 - see the module's docstring

        options = (time_limit, seed, workers)
        files = (tuple(inputs), output, json)
        request = PlanRequest(
            *files,
            *options,
            force=force,
            quiet=quiet,
            html=html,
            day=day,
            variant=variant,
            effort=effort.value,
        )
        raise typer.Exit(run_plan(request))


@app.command()
def check(
    inputs: Inputs,
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", metavar="FILE", help="Write the results as a workbook (.xlsx)."),
    ] = None,
    length: Annotated[
        list[float] | None,
        typer.Option(
            "--length",
            min=0.5,
            max=100,
            metavar="FEET",
            help="Item length for what still fits; may be repeated. Default: 6, 8, 10, 12, 15 and 20 ft.",
            show_default=False,
        ),
    ] = None,
    force: Force = False,
    quiet: Quiet = False,
) -> None:
    """Check the inputs, hand-made loads, and what rides legally on which rig.

    Every item alone on every rig; every load of the sheet Loads, where its items may stand and what would mend
    it; and the heaviest item of a given length that each rig takes. No moves are needed.

    Example: haulday check fleet.xlsx loads.xlsx -o checks.xlsx
    """
    _need_suffix(output, ".xlsx", "-o")
    with _stoppable():
        from dispatch.io.run_check import run_check  # noqa: PLC0415 - see the module's docstring

        raise typer.Exit(run_check(tuple(inputs), output, length or (), force=force, quiet=quiet))


@app.command()
def price(
    inputs: Inputs,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", metavar="FILE", help="Price workbook to write (.xlsx).")
    ] = None,
    json: Annotated[
        Path | None, typer.Option("--json", metavar="FILE", help="Write the price as JSON (also).")
    ] = None,
    bid: Annotated[
        str, typer.Option("--bid", metavar="NAME", help="Which bid, when Mobilisation holds several.")
    ] = "",
    variant: Annotated[
        str,
        typer.Option("--variant", metavar="NAME", help="Which fleet; default: the first row of Variants."),
    ] = "",
    time_limit: Annotated[
        float | None,
        typer.Option(min=0.1, metavar="SECONDS", help="Longest search a plan; default: Settings, Time limit (s)."),
    ] = None,
    seed: Annotated[int, typer.Option(min=0, help="Seed of the search and of the range.")] = 0,
    workers: Annotated[
        int | None, typer.Option(min=1, help="Processes; default: one a core.", show_default=False)
    ] = None,
    force: Force = False,
    quiet: Quiet = False,
) -> None:
    """Price a bid: moving its machines in and out.

    Plans the fewest legal trips of every phase on the own rigs, prices each, asks the outside haulier's table,
    and shows the price by line with every assumption.

    Example: haulday price fleet.xlsx bid.xlsx -o price.xlsx
    """
    if output is None and json is None:
        words = "nothing to write: give -o price.xlsx or --json price.json"
        raise typer.BadParameter(words, param_hint="-o")
    _need_suffix(output, ".xlsx", "-o")
    with _stoppable():
        from dispatch.io.run_price import PriceRequest, run_price  # noqa: PLC0415 - see the module's docstring

        files = (tuple(inputs), output, json)
        request = PriceRequest(*files, bid, variant, time_limit, seed, workers, force=force, quiet=quiet)
        raise typer.Exit(run_price(request))


@app.command()
def compare(
    inputs: Inputs,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", metavar="FILE", help="Comparison workbook to write (.xlsx).")
    ] = None,
    json: Annotated[
        Path | None, typer.Option("--json", metavar="FILE", help="Write the comparison as JSON (also).")
    ] = None,
    time_limit: Annotated[
        float | None,
        typer.Option(
            min=0.1,
            metavar="SECONDS",
            help="Longest search of a day and fleet; default: Settings, Time limit (s).",
        ),
    ] = None,
    seed: Annotated[int, typer.Option(min=0, help="Seed of every search and of the resampled days.")] = 0,
    workers: Annotated[int | None, typer.Option(min=1, help="Processes; default: one a core.")] = None,
    cache: Annotated[
        Path | None,
        typer.Option("--cache", metavar="DIR", help="Where finished days are kept; default: beside the output."),
    ] = None,
    cluster: Annotated[
        str,
        typer.Option("--cluster", metavar="ADDRESS", help="Dask scheduler to send the days to, tcp://host:8786."),
    ] = "",
    force: Force = False,
    quiet: Quiet = False,
) -> None:
    """Compare fleets over many days: would another trailer save trips?

    Plans every day of Moves under every fleet of the sheet Variants, verifies every plan, and says what each fleet
    saves against the first one, what limits the days that do not change, and what it is worth a year. Trailers on
    offer (sheets Candidates and Options) are ranked by what they are worth a year, with the options that pay best.
    Finished days are kept: a run that was stopped goes on where it was.

    Example: haulday compare fleet.xlsx season.xlsx -o compare.xlsx
    """
    if output is None and json is None:
        words = "nothing to write: give -o compare.xlsx or --json compare.json"
        raise typer.BadParameter(words, param_hint="-o")
    _need_suffix(output, ".xlsx", "-o")
    with _stoppable():
        from dispatch.io.run_compare import CompareRequest, run_compare  # noqa: PLC0415 - see the docstring above

        request = CompareRequest(
            inputs=tuple(inputs),
            output=output,
            json=json,
            time_limit_s=time_limit,
            seed=seed,
            workers=workers,
            cache=cache,
            cluster=cluster,
            force=force,
            quiet=quiet,
        )
        raise typer.Exit(run_compare(request))


@app.command()
def template(
    output: Annotated[Path, typer.Option("-o", "--output", metavar="FILE", help="Workbook to write (.xlsx).")],
    demo: Annotated[bool, typer.Option("--demo", help="With the rows of an invented morning.")] = False,
    metric: Annotated[bool, typer.Option("--metric", help="Columns in kg, m and km.")] = False,
    force: Force = False,
    quiet: Quiet = False,
) -> None:
    """Write an input workbook, empty or with demo rows.

    Example: haulday template -o moves.xlsx --demo
    """
    _need_suffix(output, ".xlsx", "-o")
    with _stoppable():
        from dispatch.io.run_template import run_template  # noqa: PLC0415 - see the module's docstring

        raise typer.Exit(run_template(output, demo=demo, metric=metric, force=force, quiet=quiet))


@contextmanager
def _stoppable() -> Iterator[None]:
    """Ctrl-C where there is no plan to keep: exit code 5 (the search itself keeps its best plan instead)."""
    try:
        yield
    except KeyboardInterrupt:
        from dispatch.io.terminal import note  # noqa: PLC0415 - see the module's docstring

        note("haulday: stopped; nothing was written.")
        raise typer.Exit(5) from None


def _need_suffix(path: Path | None, suffix: str, option: str) -> None:
    if path is not None and path.suffix.lower() != suffix:
        raise typer.BadParameter(f"{path}: the name must end in {suffix}", param_hint=option)


def main() -> None:
    """The console script: runs a verb; what nobody expected leaves a trace and exit code 1."""
    from dispatch.io.terminal import forgive_encodings, note  # noqa: PLC0415 - see the module's docstring

    forgive_encodings()
    try:
        app()
    except Exception as error:
        import traceback  # noqa: PLC0415 - see the module's docstring

        note(traceback.format_exc().rstrip())
        note(
            f"haulday: a bug ({type(error).__name__}). Nothing was written. Please report it with the lines above."
        )
        sys.exit(1)


if __name__ == "__main__":
    main()
