"""The fixed words of the pages, by name: no template holds any of its own."""

from __future__ import annotations

from types import SimpleNamespace

LABELS = SimpleNamespace(
    # The frame of every page
    name="Headwater",
    to_content="To the content",
    menu="Menu",
    cases="Cases",
    where="Change place",
    leave="Leave",
    foot="The maker's manual, local rules and licensed practice come first.",
    # Coming in
    door_title="Come in",
    door="Open the link that the terminal printed when these pages were started. It works once.",
    door_spent="This link was used already, or it is from an earlier start. "
    "A new one stands in the terminal.",
    door_wrong="Name and password do not belong together.",
    door_name="Your name",
    door_password="Your password",
    start_title="Where do you work?",
    start_who="Your name, if it is to stand in the log",
    start_nothing="There is nothing for you here yet. Ask your trainer.",
    desk_counter="At the counter",
    desk_counter_what="Somebody is on the telephone or at the desk.",
    desk_bench="At the hoist or the bench",
    desk_bench_what="The vehicle or the unit is in front of you.",
    desk_office="In the office",
    desk_office_what="All cases, what came of them, prices and the book.",
    # Cases
    find="Find",
    find_words="Name, vehicle, unit or words of the complaint",
    all_cases="All cases",
    no_cases="There is no case here yet.",
    none_found="No case has these words.",
    case="Case",
    state="State",
    whose="Whose",
    told="Told",
    changed="Changed",
    # One case
    pages_of_case="Pages of this case",
    case_verdict="Verdict",
    case_sheet="Job sheet",
    case_options="Options",
    case_audit="Audit",
    case_report_shop="Report for the shop",
    case_report_customer="Report for the customer",
    case_label="Labels",
    parts_asked="Parts that the customer asks for: range fork, chain",
    parts_audited="The proposed repair, as a list of parts: range fork, chain",
    show="Show",
    # Faults
    problem_400="That was not understood",
    problem_400_what="What was sent is no form of these pages. Go back, and send it once more.",
    problem_401="You are not signed in",
    problem_401_what="What you sent is not saved. Come in again, then send it once more.",
    problem_403="That is not for this browser",
    problem_403_what="The form is from an earlier visit, or another site sent it, "
    "or this page is not for you. Nothing was changed.",
    problem_404="There is no such page",
    problem_404_what="The address is wrong, or what stood there is gone.",
    problem_405="There is no such page",
    problem_405_what="The address is for a form, not for a look.",
    problem_408="That took too long",
    problem_408_what="What was sent did not arrive in time. Nothing was changed; try again.",
    problem_409="That could not be done",
    problem_413="That is too large",
    problem_413_what="More was sent than this page takes. Nothing was changed; send less.",
    problem_421="That is not the name of this house",
    problem_421_what="Use the address that the terminal printed.",
    problem_429="Too many tries",
    problem_429_what="Wait a little, then try again.",
    problem_500="This is a fault of Headwater, not yours",
    problem_500_what="What it is stands in the terminal. What was answered before is saved.",
    back_to_start="To the first page",
)
"""Name -> words. A name that no template uses is a fault, and so is one that is missing."""
