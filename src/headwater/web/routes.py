"""The route table: every page, what runs it, and who may use it."""

from __future__ import annotations

from headwater.case.photograph import PICTURE_BYTES
from headwater.web import casefile, classroom, office, seats, signin
from headwater.web.asked import ALL, FORM_BYTES, Page

PAGES = (
    Page("/enter", signin.show_door, open=True),
    Page("/enter/{token}", signin.spend_link, open=True),
    Page("/sign-in", signin.sign_in, open=True, post=True),
    Page("/", signin.show_start, roles=ALL),
    Page("/desk", signin.sit_down, roles=ALL, post=True),
    Page("/leave", signin.leave, roles=ALL, post=True),
    Page("/cases", office.list_cases, nav="cases"),
    Page("/figures", office.show_figures, nav="figures"),
    Page("/figures/{kind}", office.show_figures),
    Page("/prices", office.show_prices, nav="prices"),
    Page("/book", office.browse, nav="book"),
    Page("/book/{kind}/{id}", office.show_leaf),
    Page("/begin/{seat}", seats.show_new),
    Page("/begin/{seat}/case", seats.begin, post=True),
    Page("/case/{case}/at/{seat}", seats.show_seat),
    Page("/case/{case}/at/{seat}/hand-over", seats.hand_over, post=True),
    Page(
        "/case/{case}/at/{seat}/photograph",
        seats.take_photograph,
        post=True,
        most_bytes=PICTURE_BYTES + FORM_BYTES,
    ),
    Page("/case/{case}/at/{seat}/{deed}", seats.send, post=True),
    Page("/case/{case}", casefile.show_case),
    Page("/case/{case}/approval", casefile.approve_it, post=True),
    Page("/case/{case}/sheet", casefile.show_sheet),
    Page("/case/{case}/options", casefile.show_options),
    Page("/case/{case}/audit", casefile.show_audit),
    Page("/case/{case}/report/{reader}", casefile.show_report),
    Page("/case/{case}/label", casefile.show_label),
    Page("/case/{case}/photograph/{name}", casefile.show_photograph),
    Page("/case/{case}/paper.css", casefile.paper_style),
    Page("/class", classroom.show_room, classroom.TEACH, nav="class_room"),
    Page("/class", classroom.open_lesson, classroom.TEACH, post=True),
    Page("/class/{code}", classroom.show_lesson, classroom.TEACH),
    Page("/class/{code}", classroom.run_lesson, classroom.TEACH, post=True),
    Page("/class/{code}/{number}", classroom.show_pupil, classroom.TEACH),
    Page("/lesson", classroom.show_join, classroom.LEARN, nav="lesson"),
    Page("/lesson", classroom.join, classroom.LEARN, post=True),
    Page("/lesson/{code}", classroom.show_play, classroom.LEARN),
    Page("/lesson/{code}", classroom.play, classroom.LEARN, post=True),
)
"""Every page of the house."""
