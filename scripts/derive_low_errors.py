"""Derive the error of forecast lows from data, and write the table, its page and its picture.

    python -m scripts.derive_low_errors FILE --out agronomy/low_errors.py --docs docs

FILE is a table of forecast and observed lows as described in `scripts.low_error_data`; it is not
part of the project. The same file always gives the same output. What is written: Student's t by
lead day fitted on 2014 and 2015, the correlation of the nights of one issue, and with --docs
freeze_odds.md and freeze_odds.png, which test the table on the autumn of 2016.
"""

import argparse
from pathlib import Path

from scripts.low_error_data import TEST_YEAR, read_lows, training
from scripts.low_error_fit import LeadError, fit_correlation, fit_table

HEAD = '''\
"""Errors of forecast lows by days ahead; written by scripts/derive_low_errors.py, not by hand.

Days ahead 0 to 6 are fitted on {rows:,} forecasts of lows from 20 to 50 F of the US Weather Service
for 48 southern cities, September to December of 2014 and 2015; day 7 is extrapolated. How they
hold in 2016 stands in docs/freeze_odds.md.
"""
'''


def module_text(table: list[LeadError], correlation: float) -> str:
    """The generated module, ready to be written."""

    def row(values: list[float]) -> str:
        return f"({', '.join(str(float(value)) for value in values)})"

    source = "docs/freeze_odds.md"
    return (
        HEAD.format(rows=sum(one.rows for one in table))
        + f"\n#: Forecast low minus what comes, middle of the t, days ahead 0 to 7 [F]. {source}.\n"
        + f"LOW_BIAS_F = {row([one.bias_f for one in table])}\n"
        + f"\n#: Standard deviation of the t, days ahead 0 to 7 [F]. {source}.\n"
        + f"LOW_ERROR_SD_F = {row([round(one.sd_f, 2) for one in table])}\n"
        + f"\n#: Degrees of freedom of the t, days ahead 0 to 7. {source}.\n"
        + f"LOW_ERROR_DOF = {row([one.dof for one in table])}\n"
        + "\n#: Correlation of two nights of one issue on the normal scale: of 0 to 0.6, the one\n"
        + f"#: most likely to give the freezes that came in seven nights. {source}.\n"
        + f"NIGHT_CORRELATION = {correlation:g}\n"
    )


def main() -> None:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("file", type=Path, help="CSV of forecast and observed lows")
    parser.add_argument("--out", type=Path, required=True, help="the module to write")
    parser.add_argument("--docs", type=Path, help="folder for freeze_odds.md and freeze_odds.png")
    asked = parser.parse_args()
    lows = read_lows(asked.file)
    table = fit_table(training(lows))
    correlation = fit_correlation(lows[lows.year < TEST_YEAR], table, leads=7)
    asked.out.write_text(module_text(table, correlation), "utf-8")
    if asked.docs:
        from scripts.freeze_odds_page import write_page
        from scripts.freeze_odds_picture import draw

        write_page(asked.docs / "freeze_odds.md", lows, table, correlation)
        draw(asked.docs / "freeze_odds.png", lows, table)


if __name__ == "__main__":
    main()
