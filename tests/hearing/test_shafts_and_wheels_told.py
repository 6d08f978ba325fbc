"""What callers say of half shafts, propeller shafts, wheel ends, lamps and cold, in their words.

The sentences are the project's own; they guard against losing what is understood of them.
"""

from __future__ import annotations

import pytest

from headwater.hearing.hinted import hinted
from headwater.hearing.index import Index
from headwater.hearing.together import ears
from headwater.hearing.understand import understand

TOLD = {
    "boot-grease-flung": "the rubber bellows by the wheel is open and black grease is flung about",
    "outer-boot-split": "the rubber concertina behind my wheel is ripped",
    "inner-boot-split": "the gaiter beside the diff is split",
    "boot-shield-off": "the heat shield by the cv boot is hanging off",
    "oil-at-inner-joint": "oil weeps from the diff where the half shaft goes in",
    "half-shaft-shudders": "it sways side to side when I accelerate and is smooth off the gas",
    "clicks-when-turned": "it clicks on full lock",
    "steering-tugs-in-turns": "the steering tugs at my hands in every tight turn with power on",
    "half-shaft-clunks": "a clonk from the left driveshaft each time I set off",
    "half-shaft-vibrates": "the driveshaft to the right wheel is bent and it trembles",
    "half-shaft-lost-drive": "the half shaft spins and the wheel just sits there",
    "clicks-on-reversal": "one single click when I go from reverse to forwards",
    "half-shaft-wheel-rocks": "there is play in the driven hub and the axle nut looks slack",
    "half-shaft-growls": "the support bearing of the long driveshaft growls",
    "axle-locks": "the back axle seized solid and the wheels would not turn",
    "hub-gears-whine": "the portal box on one side howls",
    "axle-speed-lamp": "the anti-lock lamp is lit since you had the rear axle out",
    "clutch-heat-message": "the dash said four wheel drive too hot and left me with two",
    "centre-lock-lamp-wrong": "the light for the centre lock will not go out",
    "low-lamp-wrong": "the little tortoise on the dash never comes up",
    "mode-lamp-lies": "the lamp says four wheel drive but the front is not pulling",
    "drags-until-warm": "on frosty mornings the lever is like treacle until it has warmed up",
    "whine-until-warm": "in frost it moans for the first mile and then stops",
    "take-off-whines": "the winch drive whines with the engine ticking over",
    "no-drive-in-any-range": "high or low, nothing moves, it only roars",
    "shaft-growls": "the hanger bearing halfway down drones",
    "grease-thrown-from-shaft": "a stripe of grease across the floor above the prop",
    "shaft-clunks": "the prop goes clonk when I let the clutch in",
    "shaft-squeaks": "there is a cricket under the floor when we roll slowly",
    "shaft-shakes": "the long tube underneath makes my feet tingle at speed",
    "shaft-came-apart": "the cardan is lying on the road behind me",
    "balance-weight-lost": "a balance weight has come off the prop",
    "shaft-shudders-on-pull": "it judders under the floor setting off with the trailer on",
    "shaft-knocks-in-travel": "when it drops into a rut the prop bottoms out with a bang",
    "front-wheel-rocks": "on the jack I can waggle the front wheel top to bottom",
    "wheel-end-rumbles": "a rumble from the front left wheel, like gravel in a mill",
    "grease-flung-from-hub": "black muck out of the front bearing cap over the spokes",
    "hub-slack-again": "I adjusted the front bearings last month and they are sloppy already",
    "front-wheels-shimmy": "after a pothole the steering goes berserk until I slow right down",
    "steering-stays-turned": "it does not come back by itself after a bend",
    "knock-at-front-wheel": "a knock at the front corner over cobbles",
    "swivel-runs": "the big chrome ball behind the wheel is dripping",
    "full-lock-scrapes": "something scrapes with the steering hard over",
    "rattle-in-front-drive": "in four wheel drive there is a jangling by the front tyre",
    "front-hub-does-not-lock": "the freewheel on the left will not catch",
    "front-hub-stays-locked": "the dial on the hub is stuck in lock",
    "hub-clicks-under-drive": "the locking hub goes off with a crack under power",
    "nuts-work-loose": "every week I have to tighten the wheel nuts on that side again",
    "abs-lamp-lit": "the ABS light will not go out",
    "abs-bites-when-slow": "the pedal judders at walking pace as if the anti-lock cut in",
    "tyre-hums-like-bearing": "it drones like a bearing but goes quiet on smooth tarmac",
}

NOT_OURS = [
    "the boot lid will not stay open",
    "the fan belt squeals on damp mornings",
    "the low fuel lamp stays on",
    "the tow ball is greasy",
    "the engine ticks when it is cold",
    "the wiper arm scrapes on the glass",
    "the water pipe is under the floor of the workshop",
]


@pytest.mark.parametrize(("meant", "said"), TOLD.items(), ids=TOLD)
def test_what_is_told_of_a_shaft_or_a_wheel_is_understood(
    index: Index, meant: str, said: str
) -> None:
    found = understand(index, said).understood
    assert meant in {name for one in found for name in (one.id, *one.shows)}


@pytest.mark.parametrize("said", NOT_OURS)
def test_what_is_told_of_something_else_hints_at_none_of_them(index: Index, said: str) -> None:
    heard = ears(said, index.mended_word)
    hints = {hint.target.id for hint in hinted(index, heard, lambda _: True)}
    assert hints.isdisjoint(TOLD)


def test_a_phrase_and_a_hint_that_agree_are_taken_as_said(index: Index) -> None:
    ticked = understand(index, "clicks on full lock").ticked
    assert "clicks-when-turned" in {one.id for one in ticked}
