"""The scripts behind the golden screens: a name, and lines to run; `|` parts what is typed."""

from __future__ import annotations

CASES = ["overload", "covered", "bore", "pads", "undetermined", "healthy", "disputed", "two"]
FAMILY = "--family drive=chain,housing=iron"
BENCH = "burnt pads|||help|why|why bore-worn|later|bearing-float: 0.4|bearing-float: 0.4 mm"
ROUGH = "burnt pads|||bearing-float: 41 mil|bearing-float: ~0,5 mm|done"
CALL = "it makes a noise|it howls when it pulls||wants the bearing|help|why|opened"
MORE = "hmm|no|more|?|also oil spots||list"
REPORTS = [("bore", "shop"), ("bore", "customer"), ("undetermined", "shop"), ("pads", "customer")]

SCREENS: dict[str, list[str]] = {
    **{f"diagnose-{name}": [f"diagnose {name}.yaml"] for name in [*CASES, "loop"]},
    "diagnose-close": ["diagnose close.yaml"],
    "diagnose-limit-of-the-family": ["diagnose magnesium.yaml"],
    "diagnose-limit-of-the-shop": ["diagnose magnesium.yaml --shop YARD"],
    "diagnose-json": ["diagnose bore.yaml --json", "diagnose pads.yaml --json"],
    "why": [
        "diagnose bore.yaml --why fork-pressed",
        "diagnose bore.yaml --why lever-misset",
        "diagnose bore.yaml --why fork-pressed --json",
    ],
    **{f"plan-{name}": [f"plan {name}.yaml"] for name in ("bore", "pads", "two", "overload")},
    "plan-undetermined": ["plan undetermined.yaml", "plan covered.yaml"],
    "plan-json": ["plan bore.yaml --json"],
    "tables": ["plan bore.yaml --csv", "diagnose bore.yaml --csv"],
    "options": [
        "options bore.yaml --prices prices.yaml --parts 'shift fork'",
        "options bore.yaml --prices few-prices.yaml",
        "options bore.yaml",
    ],
    "options-held": [
        "options pads.yaml --prices prices.yaml --parts 'shift fork'",
        "options undetermined.yaml --prices prices.yaml --parts 'lip seal'",
        "options covered.yaml --prices prices.yaml",
        "options overload.yaml --prices prices.yaml",
    ],
    "options-json": ["options bore.yaml --prices prices.yaml --json"],
    "audit-passed": ["audit bore.yaml --plan whole.yaml"],
    "audit-refused": [
        "audit bore.yaml --plan bare.yaml",
        "audit bore.yaml --parts 'shift fork, drive chain, flux gate'",
        "audit pads.yaml --plan bare.yaml",
        "audit overload.yaml --parts 'exchange unit'",
    ],
    "audit-comeback": ["audit back.yaml --parts 'lip seal'"],
    "audit-json": ["audit back.yaml --parts 'lip seal' --json"],
    "bench": [
        f"bench new.yaml {FAMILY} << {BENCH}|list|state|back|bearing-float: 0.9 mm"
        "|bore-look: bright||done"
    ],
    "bench-closed": ["bench new.yaml --closed << burnt pads|||7|1|skip|done"],
    "readings": [f"bench new.yaml {FAMILY} << {ROUGH}"],
    "blanks": ["case new unit", "case new unit", "prices new list", "proposal new offer"],
    "bench-json": [f"bench new.yaml {FAMILY} --json << burnt pads|||done"],
    "hoist": [f"hoist new.yaml {FAMILY} << oil spots|||blocked|wet|hiss|dry|done"],
    "call": [
        f"call new.yaml --prices prices.yaml --sheet sheet.md << {CALL}|{MORE}|done|done|done",
        "show sheet.md",
        "hoist new.yaml << list|done",
    ],
    "call-danger": ["call new.yaml << the brake does not hold the log||opened|yes|no|done"],
    "call-json": [f"call new.yaml --prices prices.yaml --json << {CALL}|done|done"],
    "trace": ["trace fork-pads-burnt", "trace bearing-failed"],
    "trace-json": ["trace bearing-failed --json"],
    "trace-drawn": ["trace fork-pads-burnt --svg tree.svg", "show tree.svg"],
    **{
        f"report-{case}-{reader}": [f"report {case}.yaml -o r.md --for {reader}", "show r.md"]
        for case, reader in REPORTS
    },
    "report-priced": ["report undetermined.yaml -o r.md --prices prices.yaml", "show r.md"],
    **{
        f"report-{reader}-html": [f"report bore.yaml -o r.html --for {reader}", "show r.html"]
        for reader in ("shop", "customer")
    },
    "drill-walk": ["drill walk bore-drops-gear << |||||||||||", "drill walk breather-leaks --json"],
    "drill-walk-case": ["drill walk --case pads.yaml", "drill walk --case bore.yaml"],
    "drill-solve": [
        "drill solve --level 1 --seed 3 << zebra|float|1|1|list|done|oil|1||||front half||",
        "drill solve --level 5 --seed 1 << done||",
    ],
    "drill-solve-json": ["drill solve --level 1 --seed 3 --json << done||"],
    "class": [
        "class assign --progress p.yaml --who ana --who ben --level 1 --chain bore-drops-gear",
        "class assign --progress p.yaml --level 1",
        "class list --progress p.yaml",
        "class sheet --level 1 --seed 3",
        "class sheet --level 1 --seed 3 --answers",
    ],
    "drill-order": [
        "drill order bore-drops-gear << 1 2|1 2 3 4 5|9|1|1|1",
        "drill order breather-leaks --json << 1 2 3 4|1|1|1",
    ],
    "book": ["book show bearing-float", "book show bore-worn", "book show breather-leaks"],
    "book-graph": ["book graph", "book graph --form dot"],
    "book-cover": ["book cover"],
    "book-read": ["book read winch", "book read winch -o w.md", "show w.md", "book read zebra"],
    "hear": [
        "hear oil spots and it makes a burnt smell since we changed the ashtray",
        "hear no oil spots --json",
    ],
    "work": [
        "work",
        "work chain-elongation pitch='10 mm' pitches=8 measured='82 mm'",
        "work chain-elongation pitch='10 mm' pitches=8 measured='82 mm' --json",
    ],
}
