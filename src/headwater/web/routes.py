"""The route table: every page, what runs it, and who may use it."""

from __future__ import annotations

from headwater.web import casefile, office, signin
from headwater.web.asked import ALL, Page

PAGES = (
    Page("/enter", signin.show_door, open=True),
    Page("/enter/{token}", signin.spend_link, open=True),
    Page("/", signin.show_start, roles=ALL),
    Page("/desk", signin.sit_down, roles=ALL, post=True),
    Page("/leave", signin.leave, roles=ALL, post=True),
    Page("/cases", office.list_cases, nav="cases"),
    Page("/case/{case}", casefile.show_case),
)
"""Every page of the house."""
