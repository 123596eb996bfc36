"""The sentences of the caution rules by rule and key, and how their facts are put in.

A number says in its template how it is read: ``A`` amperes, ``W`` watts, ``mm`` whole millimetres,
``tape`` as a tape measure is read, ``cm`` three digits of centimetres, ``%`` whole percent of a
share (``%1`` with one decimal, ``%g`` as many as it has), or as Python formats it. Several clauses
are joined by " and ", by ", " with ``,``, by "; " with ``;`` and by " or " with ``or``. Things are
named as a sentence names them; ``way`` lists their bare names from the wall on.

The rules' own titles, what they tell and what clears them are in ``rules.csv``.
"""

from __future__ import annotations

from collections.abc import Mapping

from lumen.power.load import NOT_IN_STEP_WORDS

__all__ = ["SENTENCES", "SHARED"]

SHARED: Mapping[str, str] = {
    "explain raised": "raised when {trigger}",
    "explain fed": "fed through: {way}",
    "explain assumed": "assumed: {what}",
    "explain ask": "ask an electrician: {question}",
    # lines of sums
    "reckoned": "{text}",
    "reason": "{reason}",
    "thing": "{of}",
    "draws": "{of} draws",
    "of-carries": "{of} carries",
    "current": "current",
    "in-all": "current in all",
    "not-in-step": NOT_IN_STEP_WORDS,
    "lasting": "of it for 3 h or more",
    "demand": "with that part counted 1.25 times",
    "limit": "limit: {reason}",
    "limit-assumed": "limit: {reason}, assumed",
    "share-of-limit": "share of the limit",
    "breaker": "breaker",
    "outlet": "outlet",
    "running": "running current",
    "starting": "while it starts, about",
    "supply": "supply",
    "output": "output",
    "distance": "distance",
    "keep": "keep at least",
    "touching": "touching counts up to",
    "beyond-surface": "beyond the surface",
    "let-be": "let be up to",
    "off-wall-taken": "off the wall it is taken to be on",
    "reckoned-with": "reckoned with",
    "asked-in": "asked in '{setup:name}'",
    # what nobody has read
    "assumed-limit": "{limit_a:g} A is assumed: {reason}",
    "unread": "usual watts, label not read: {things}",
    "unread-and-more": "usual watts, label not read: {things:,} and {more:g} more",
    "assumed-breaker": "{breaker_a:g} A breaker is assumed",
    "usual-outlet": "rating of the outlet: usual in the region",
    "usual-breaker": "rating of the breaker: usual in the region",
    "usual-both": "rating of the outlet and the breaker: usual in the region",
    "assumed-start": "a motor starts with about {times:g} times its running current",
    # what several rules say
    "of-limit": "{carried_a:A}, and its breaker is {limit_a:A}",
    "of-assumed-limit": "{carried_a:A}, and its assumed breaker is {limit_a:A}",
    "beyond": "{item} carries {carried_a:A} and may carry {limit_a:A} ({reason}), {when}.",
    "in-setup": "{level:%g} in '{setup:name}'",
    "other-wall": "the place of {item} is on {there}, and the plan says {wall}, {off_m:tape} away.",
    "other-wall-taken": "the place of {item} is on {there}, and nothing is said, so it is taken to "
    "be on {wall}, {off_m:tape} away.",
}
"""What more than one rule says."""

_LOAD: Mapping[str, str] = {
    "1.over": "{circuit} carries {of_limit}, {when}.",
    "2.over": "of {carried_a:A} on {circuit}, {lasting_a:A} runs for 3 h or more; counted 1.25 "
    "times that makes {of_limit}, {when}.",
    "3.over": "{item} alone draws {drawn_a:A}, more than {share:%g} ({most_a:A}) of the "
    "{breaker_a:g} A circuit that it shares.",
    "3.share": "share for one item",
    "3.most": "most for one item",
    "4.over": "{fixed}, fixed in place, draws {drawn_a:A}: more than half of the {breaker_a:g} A "
    "of {circuit}, which feeds other things too.",
    "4.fixed": "fixed equipment in all",
    "4.share": "share for fixed equipment",
    "5.over": "{item} takes {carried_a:A} through one hole of {outlet}, which may carry "
    "{limit_a:A}, {when}.{likewise}{rating}",
    "5.likewise": " Likewise {others}.",
    "5.own-rating": " Its own rating is {rating_a:A}.",
    "5.which-outlet": " It is taken as one of {rating_a:g} A; look whether it is one of "
    "{large_a:g} A.",
    "5.one-plug": "One plug cannot be spread. Run {item} on a setting of {most_w:.0f} W or less, "
    "take a smaller one, or ask an electrician for an outlet on a circuit of its own.",
    "6.over": "the {holes:g} holes of {outlet} together carry {carried_a:A}; {limit_a:g} A is the "
    "most for the whole plate, {when}.",
    "6.warn": "worth a warning from",
    "6.most": "most for the plate",
    "7.over": "{outlet} carries {carried_a:A}, over its {limit_a:A}, and the {breaker_a:g} A "
    "breaker does not guard it, {when}.",
    "8.over-label": "{strip} carries {carried_a:A} of its {limit_a:g} A label, {when}.",
    "8.over-label-assumed": "{strip} carries {carried_a:A} of its assumed {limit_a:g} A label, "
    "{when}.",
    "8.over-breaker": "{strip} carries {carried_a:A} of its {limit_a:g} A breaker, {when}.",
    "9.near": "{strip} carries {carried_a:A}: {share:%} of its {limit_a:g} A label, {when}.",
    "9.near-assumed": "{strip} carries {carried_a:A}: {share:%} of its assumed {limit_a:g} A "
    "label, {when}.",
    "15.heat": "{things} make heat on {at}: {carried_a:A} together{over}, {when}.",
    "15.over-share": ", over four fifths of its breaker ({limit_a:A})",
    "15.together": "together",
    "15.share-of-breaker": "{share:%g} of the breaker",
    "55.long": "{item} takes {lasting_a:A} for more than an hour through one hole of {outlet}.",
    "55.lasting-hour": "kept up for more than an hour",
    "55.planned": "planners count for long",
    "55.rating": "rating, tested for one hour",
    "55.assumed-rating": "rating of the outlet",
    "68.behind": "{outlet} is one of {rating_a:A} behind a {breaker_a:g} A breaker; {most_a:g} A "
    "is the most before it.",
    "68.largest": "largest breaker before such an outlet",
    "70.lost-in-cord": "{item} gets {share:%1} fewer volts than the supply: {lost_v:.1f} V are "
    "lost in the cord on the way.",
    "70.lost-in-cords": "{item} gets {share:%1} fewer volts than the supply: {lost_v:.1f} V are "
    "lost in the cords on the way.",
    "70.lost-in": "lost in the cord of {of}",
    "70.lost": "lost in all",
    "70.share": "share of the supply",
    "70.note-over": "worth a note over",
    "70.ask-over": "worth a question over",
    "71.never": "{item} would carry {carried_a:A} of {limit_a:A} ({reason}) if {things} were on "
    "together; by the seasons and times that you gave they never are.",
    "71.by-times": "most by your times",
    "72.thin": "the low-voltage cord of {item} carries {carried_a:A} at {output_v:g} V and may "
    "carry {limit_a:A} ({reason}), {when}.",
    "73.more": "{item} is made for {low_v:g} V{range} and gets {supply_v:g} V: it would overheat "
    "or burn out.",
    "73.less": "{item} is made for {low_v:g} V{range} and gets {supply_v:g} V: it would not run as "
    "it should.",
    "73.up-to": " to {high_v:g} V",
    "73.label-least": "label, least",
    "73.label-most": "label, most",
    "73.gets": "gets",
}

_STRIPS_AND_CORDS: Mapping[str, str] = {
    "10.unread-label": "nobody has read the label of {item}; {limit_a:g} A is assumed.",
    "10.assumed": "assumed until it is read",
    "10.carries": "carries at most",
    "10.usual": "usual on such labels",
    "10.assumed-label": "{limit_a:g} A for {item}",
    "11.behind": "{strip} is plugged into {feeder}.",
    "12.behind": "{strip} hangs on an extension cord, {feeder}.",
    "13.behind": "{adapter} sits in {feeder}.",
    "13.heat": "{adapter} feeds {things}, which all make heat.",
    "18.through-wall": "the cord of {item} goes through a wall, floor or ceiling.",
    "18.concealed": "the cord of {item} is hidden inside the building.",
    "18.in-groove": "the cord of {item} lies in a groove; once that is covered it counts as "
    "hidden.",
    "19.fastened": "the cord of {item} is fastened to the building.",
    "20.through-door": "the cord of {item} runs through a door or window.",
    "21.under-rug": "the cord of {item} lies under a rug.",
    "21.under-furniture": "the cord of {item} lies under furniture.",
    "21.pressed": "{furniture} leaves {gap_m:mm} at {outlet}, too little for the plug of {plugs}.",
    "21.gap": "room at the outlet",
    "21.plug": "a straight plug with its cord, assumed",
    "21.assumed-plug": "a plug {plug_m:mm} deep; measure yours",
    "21.pressed-title": "Plug pressed by furniture",
    "21.pressed-tell": "Furniture in front of this outlet presses on the plug and bends its cord.",
    "22.stays": "{extension} is part of the plan{long}{carries}.",
    "22.days": " for {days:g} days",
    "22.carries-of": " and carries {carried_a:A} of {limit_a:A}",
    "22.days-in-use": "days in use",
    "22.share": "share of its rating",
    "22.note-from": "more than a note from",
    "22.or-from": "or from",
    "23.strip-cord": "the cord of {item} carries {carried_a:A} and may carry {limit_a:A} "
    "({reason}), {when}.",
    "23.strip-cord-title": "Cord of a power strip too thin",
    "23.strip-cord-tell": "This strip's cord carries more than its size and the air around it "
    "allow.",
    "24.coiled": "the cord of {item} is coiled and carries {carried_a:A}: {share:%} of its "
    "{rating_a:A}, {when}.",
    "24.share": "share for a coiled cord",
    "24.most": "most while it is coiled",
    "24.assumed-rating": "the cord's rating: {reason}",
    "25.beyond": "{item} draws {carried_a:A} through a cord for {limit_a:A}.",
    "25.thin-awg": "the cord of {item} is {size}; a light's cord should be 18 AWG or more.",
    "25.thin-mm2": "the cord of {item} is {size}; a light's cord should be 0.75 mm² or more.",
    "25.awg": "{awg:g} AWG",
    "25.mm2": "{area_mm2:g} mm²",
    "25.conductor": "conductor",
    "25.at-least": "at least",
    "26.too-big": "the {fuse_a:g} A fuse in the plug of {item} is too big for its {area_mm2:g} mm² "
    "flex.",
    "26.too-big-assumed": "the assumed {fuse_a:g} A fuse in the plug of {item} is too big for its "
    "{area_mm2:g} mm² flex.",
    "26.fuse": "fuse",
    "26.fuse-assumed": "fuse, assumed",
    "26.flex": "flex",
    "26.thinnest": "thinnest flex that this fuse guards",
    "26.assumed-fuse": "{fuse_a:g} A fuse: nobody has read it",
    "27.over": "{item} draws {carried_a:A}, over the {fuse_a:g} A fuse in its plug.",
    "27.needless": "{item} draws only {drawn_va:.0f} VA behind a {fuse_a:g} A fuse in its plug.",
    "27.drawn": "drawn, at most",
    "27.fuse": "fuse",
    "27.right": "fuse for this load",
    "41.fixed": "{strip} is fixed in place, and is not made to be built in.",
    "41.inside": "{strip} is inside {furniture}, and is not made to be built in.",
    "61.behind": "{item} is plugged into {feeder}: {way:way}.",
    "65.one-hole": "{plugs:g} plugs are meant for {of}, which has {holes:g} hole.",
    "65.holes": "{plugs:g} plugs are meant for {of}, which has {holes:g} holes.",
    "65.plugs": "plugs",
    "65.hole-count": "holes",
    "65.assumed-holes": "{holes:g} holes: nobody has counted them",
}

_EARTH_AND_SUPPLY: Mapping[str, str] = {
    "28.class-1": "{item} is class I and must be earthed, but {broken}.",
    "28.metal": "{item} is metal, for fixed wiring and must be earthed, but {broken}.",
    "28.two-cores": "its cord has two cores",
    "28.two-pins": "its plug has two pins",
    "28.adapter": "{at} passes no earth",
    "28.outlet": "{at} has no earth",
    "28.cord": "the cord of {at} has two cores",
    "28.as-class-1": "treated as class I",
    "29.no-mark": "{light} has a metal body, and no mark is recorded: neither the square within a "
    "square nor an earth terminal.",
    "29.as-class-1": "{light} is treated as class I",
    "30.cord": "no rib, stripe or colour tells line from neutral in the cord of {light}.",
    "30.plug": "the plug of {light} goes in either way, and its switch breaks one wire only.",
    "31.switch": "the switch in the cord of {light} breaks one wire, and the plug decides which.",
    "42.over": "{receiver} switches {carried_a:A} and is made for {limit_a:A}.",
    "42.electronic-w": "{receiver} switches {drawn_w:W} of electronic load; for that kind it is "
    "made for {limit_w:W}.",
    "42.electronic-a": "{receiver} switches {carried_a:A} of electronic load; for that kind it is "
    "made for {limit_a:A}.",
    "42.not-at-wall": "{receiver} sits in {feeder}; such plugs are made for wall outlets.",
    "42.not-at-wall-title": "Remote plug not in a wall outlet",
    "42.not-at-wall-tell": "Makers of such plugs ask for a fixed outlet: not in a strip, not on an "
    "extension cord, not one behind another.",
    "44.waiting": "with everything off {off_w:.1f} W stay on; waiting takes about {year_kwh:.0f} "
    "kWh a year, {cost:.0f} {currency}.",
    "44.in-all": "in all, with losses",
    "44.note-over": "worth a note over",
    "44.year": "in a year, while it is not running",
    "44.price": "price of 1 kWh",
    "44.cost": "in a year",
    "45.no-arc": "{circuit}: no arc-fault protection. In this region: {here} ({source}).",
    "45.arc-unknown": "{circuit}: arc-fault protection unknown. In this region: {here} ({source}).",
    "45.no-leakage": "{circuit}: no leakage protection. In this region: {here} ({source}).",
    "45.leakage-unknown": "{circuit}: leakage protection unknown. In this region: {here} "
    "({source}).",
    "47.signs": "{item}: you noted {signs:,}.",
    "47.hot": "hot",
    "47.smell": "smell",
    "47.buzz": "buzz",
    "47.tingle": "tingle",
    "47.trips": "trips",
    "47.worn": "worn",
    "47.discoloured": "discoloured",
    "48.outlet": "{outlet} has no earth, and the plug of {plugs} needs one.",
    "48.adapter": "{adapter} passes no earth to {plugs}.",
    "49.under": "{of} has {supply_v:g} V, under the usual {low_v:g} to {high_v:g} V.",
    "49.over": "{of} has {supply_v:g} V, over the usual {low_v:g} to {high_v:g} V.",
    "49.low": "low",
    "49.high": "high",
    "50.usual": "nobody has read the label of {item}: {drawn_w:g} W is usual for {kind}.",
    "50.unread": "nobody has read the label of {item}: {drawn_w:g} W is not read.",
    "50.usual-low": "usual, low",
    "50.usual-high": "usual, high",
    "50.assumed": "{drawn_w:g} W for {item}",
    "66.mains": "{item} is class III, made for a low-voltage supply, and hangs on {supply_v:g} V "
    "through {feeder}.",
    "67.unknown": "{item} must be earthed, and nobody has written down whether {outlet} has an "
    "earth.",
}

_HEAT_AND_MOTORS: Mapping[str, str] = {
    "14.strip": "{item} ({drawn_w:.0f} W) is plugged into a power strip, {feeder}, not straight "
    "into the wall.",
    "14.extension": "{item} ({drawn_w:.0f} W) is plugged into an extension cord, {feeder}, not "
    "straight into the wall.",
    "14.receiver": "{item} ({drawn_w:.0f} W) is plugged into a remote receiver, {feeder}, not "
    "straight into the wall.",
    "14.adapter": "{item} ({drawn_w:.0f} W) is plugged into an adapter, {feeder}, not straight "
    "into the wall.",
    "16.near": "{item} stands {distance_m:.2f} m from {fabric}.",
    "17.behind": "{item} is plugged into {feeder}, not straight into the wall.",
    "35.near": "the {lamp} lamp of {light} is {distance_m:.2f} m from {fabric}.",
    "35.near-fabric": "the {lamp} lamp of {light} is {distance_m:.2f} m from fabric.",
    "35.led": "led",
    "35.halogen": "halogen",
    "35.incandescent": "incandescent",
    "35.fluorescent": "fluorescent",
    "35.distance": "lamp to fabric",
    "35.keep": "keep at least, by our own rule",
    "35.reckoned-distance": "distance reckoned from the plan, not measured",
    "40.stay": "{things}: about {losses_w:.1f} W of heat stay in {furniture}, and {warmer}{closed}"
    "{label}.",
    "40.stays": "{things}: about {losses_w:.1f} W of heat stays in {furniture}, and {warmer}"
    "{closed}{label}.",
    "40.about": "its air gets about {rise_k:.0f} K ({low_k:.0f} to {high_k:.0f} K) warmer than the "
    "room",
    "40.beyond": "its air gets more than {rise_k:g} K warmer than the room",
    "40.no-opening": ", and it has no opening for air",
    "40.no-known-opening": ", and it has no opening for air that the plan knows of",
    "40.past-label": "; at {most_c:.0f} °C at most it passes the {label_c:g} °C that a label in it "
    "allows",
    "40.heat-of": "heat of {of}",
    "40.note-from": "a note from",
    "40.warning-from": "a warning from",
    "40.stop-from": "stop from",
    "40.assumed-size": "the size inside is reckoned from the outside",
    "40.assumed-closed": "no opening is given, so the space is taken as closed",
    "40.assumed-place": "{things} lies where the plug is, since no place is given",
    "40.assumed-places": "{things} lie where the plug is, since no place is given",
    "46.in-bed": "{item} charges in the bed.",
    "46.inside": "{item} charges inside {furniture}.",
    "62.compressor": "{item} has a compressor and hangs on {receiver}, {rating}.",
    "62.motor": "{item} has a motor and hangs on {receiver}, {rating}.",
    "62.rating": "which is made for {motor_w:g} W of motors",
    "62.no-rating": "whose rating counts for plain heat and light; no rating for motors is "
    "written down",
    "63.compressor": "{item} has a compressor and hangs on {feeder}{past}.",
    "63.motor": "{item} has a motor and hangs on {feeder}{past}.",
    "63.past": ": it starts with about {start_a:A} of {limit_a:A}",
    "64.remote": "{item} is a medical device behind {first}, that can switch it off.",
    "64.between": "{item} is a medical device behind {first}, that can be switched or pulled out.",
    "69.unknown-one": "nobody has written down where {item} stands, and {fabric} is in the room.",
    "69.unknown": "nobody has written down where {item} stands, and {fabric} are in the room.",
    "80.in-bed": "{item} ({drawn_w:.0f} W) makes heat and lies in the bed.",
    "80.inside": "{item} ({drawn_w:.0f} W) makes heat and lies inside {furniture}.",
    "80.warmer": "warmer than the room in there, steady",
    "81.covered": "{item} lies in {furniture}, where bedding covers it: about {heat_w:.0f} W of "
    "heat cannot get out.",
    "81.heat": "heat made there",
    "81.ask-from": "worth a question from",
    "81.under-duvet": "warmer than the room under a duvet, on a patch of 30 x 30 cm",
    "81.assumed-duvet": "a duvet of 10 tog (1 m² K/W), heat through one side only",
}

_LIGHTS_AND_STRIPS: Mapping[str, str] = {
    "32.changed": "{light} was made for fixed wiring and runs from a plug.{unknown}",
    "32.changed-by-yourself": "{light} was made for fixed wiring and runs from a plug, changed by "
    "yourself.{unknown}",
    "32.changed-for-you": "{light} was made for fixed wiring and runs from a plug, changed for "
    "you.{unknown}",
    "32.unknown": " Nobody has written down {of:or}.",
    "32.enclosure": "whether its joint has a closed box or cover",
    "32.grip": "whether its cord has a grip",
    "33.open": "{light} has {missing}.",
    "33.no-enclosure": "no closed box or cover around the joint",
    "33.no-grip": "no grip that takes the pull of the cord",
    "34.over-label": "the lamp in {light} draws {lamp_w:g} W; its label allows {limit_w:g} W.",
    "34.no-label": "the lamp in {light} draws {lamp_w:g} W; without a label the most is "
    "{limit_w:g} W.",
    "34.lamp": "lamp",
    "34.limit": "limit",
    "34.assumed": "no label: {limit_w:g} W is assumed",
    "36.fill": "{driver} is rated {rating_w:g} W and feeds {load_w:.1f} W by label: {share:%}.",
    "36.load": "label power in all",
    "36.rating": "rating",
    "36.share": "share to use",
    "36.needed": "rating needed",
    "37.feeds": "one output of {driver} feeds {most_w:.0f} W at {output_v:g} V; the low-energy "
    "class ends at {limit_w:g} W.",
    "37.can-give": "one output of {driver} can give {most_w:.0f} W at {output_v:g} V; the "
    "low-energy class ends at {limit_w:g} W.",
    "37.load": "label power on one output",
    "37.rating": "rating of one output",
    "37.limit": "limit at these volts",
    "38.dim": "the far end of {strip} gives {end_share:%} of its start; {drop_share:%1} of the "
    "volts are lost on the way.",
    "38.note-under": "worth a note under",
    "38.or-lost": "or with volts lost over",
    "38.assumed-ohm": "loop resistance assumed",
    "39.in-wall": "the low-voltage cable of {item} runs in the wall.",
    "43.together": "{drivers} switch on together behind {behind}{peak}.",
    "43.surge": " with a surge of up to {peak_a:.0f} A for under a millisecond",
    "43.assumed-breaker": "the breaker is assumed",
    "54.burns": "{strip} is made for {strip_v:g} V and {driver} gives {driver_v:g} V: it would "
    "burn out.",
    "54.dark": "{strip} is made for {strip_v:g} V and {driver} gives {driver_v:g} V: it would stay "
    "dark or glow faintly.",
    "54.strip": "strip",
    "54.driver": "driver",
    "54.ratio": "driver over strip",
    "56.live": "the output of {driver} is not separated from the mains, and {fed} can be touched.",
    "57.mains-part": "{part} is made for the mains and hangs on the output of {driver}.",
    "58.written": "{item} is written with {flux_lm:g} lm from {power_w:g} W{impossible}.",
    "58.written-per-m": "{item} is written with {flux_lm:g} lm from {power_w:g} W a metre"
    "{impossible}.",
    "58.impossible": "; no light at all can give so much",
    "58.light": "light",
    "58.light-per-m": "light a metre",
    "58.watts": "watts",
    "58.watts-per-m": "watts a metre",
    "58.most": "most of the usual kinds",
    "82.asked": "{item} is asked for {parts:,}, and {why}: it is reckoned fully on there.",
    "82.no-dimmer": "it has no dimmer",
    "82.lamp-does-not-dim": "its lamp does not dim",
    "82.only-switches": "{stop} only switches",
    "82.does-not-dim": "{stop} does not dim",
    "83.asked": "{item} is asked for {parts:,}, and goes down to {lowest:%g}: it is reckoned with "
    "that.",
    "84.asked": "{item} is asked for {parts:,}, and the plan does not say what dims it.",
    "84.assumed-level": "the level is taken as asked",
}

_PLACES: Mapping[str, str] = {
    "51.above": "sitting up against the head end, the head of {person} would be {by_m:mm} above "
    "{over}: nobody can sit up there{others}.",
    "51.within": "sitting up against the head end, the head of {person} comes within {by_m:mm} of "
    "{over}{others}.",
    "51.others": "; the same for {people}",
    "51.eye": "sitting eye",
    "51.eye-to-top": "top of the head above the eye, assumed",
    "51.top": "top of the head",
    "51.over": "{over} there",
    "51.left": "room left",
    "51.wanted": "room wanted",
    "51.assumed-head": "a head {top_m:mm} above the eye",
    "51.assumed-head-and-eye": "a head {top_m:mm} above the eye and a sitting eye nobody has "
    "measured",
    "52.cord-near": "the cord of {item} comes within {distance_m:.2f} m of {cot}.",
    "52.thing-near": "{item} comes within {distance_m:.2f} m of {cot}.",
    "52.cot-top": "a cot counts up to",
    "52.assumed-ways": "cords run along the walls and straight up; a cot is about 1 m high",
    "53.near": "{item} is {distance_m:.2f} m from {bunk}, within reach of who lies there.",
    "53.distance": "distance to the mattress",
    "53.reach": "within reach under",
    "85.stands": "{smaller} stands {depth_m:tape} inside {larger}.",
    "85.lies": "{smaller} lies {depth_m:tape} inside {larger}.",
    "85.way-out": "shortest way out",
    "86.reaches": "{furniture} reaches {through}.",
    "86.through": "{by_m:tape} through {surface}",
    "86.beyond": "beyond {surface}",
    "87.buried": "the middle of {light} is {where}, so none of its light comes into the room.",
    "87.outside": "{by_m:tape} outside {wall}",
    "87.above": "{by_m:tape} above the ceiling",
    "87.under": "{by_m:tape} under the floor",
    "87.inside": "{by_m:tape} inside {furniture}",
    "88.reaches": "{light} reaches {by_m:tape} into {into}.",
    "88.reaches-title": "Light reaches into what holds it",
    "88.no-board": "{light} is fixed to a headboard, and the plan has none.",
    "88.boards": "headboards in the plan",
    "88.floats": "{light} is fixed to {mount} and floats {off_m:tape} off it.",
    "88.off": "off its mount",
    "89.ends": "{opening} ends {faults}.",
    "89.by": "{by_m:tape} {where}",
    "89.past-end": "past the end of {wall}",
    "89.past-start": "past the beginning of {wall}",
    "89.under": "under the floor",
    "89.above": "above the ceiling there",
    "89.over": "{opening} lies {by_m:tape} over {other} on {wall}.",
    "89.in-width": "both cover, in width",
    "89.in-height": "in height",
    "90.floats": "{outlet} floats {off_m:tape} off {wall}.",
    "90.off": "off its wall",
    "90.in": "{outlet} sits in {opening}.",
    "90.along": "along the wall",
    "90.begins": "the opening begins at",
    "90.ends": "and ends at",
    "91.astray": "{strip} {faults}.",
    "91.runs-outside": "runs {by_m:tape} outside {wall}",
    "91.outside": "outside {wall}",
    "91.runs-above": "runs {by_m:tape} above the ceiling",
    "91.above": "above the ceiling",
    "91.runs-inside": "runs {by_m:tape} inside {furniture}",
    "91.inside": "inside {furniture}",
    "91.runs-hangs": "hangs in the air, half of it {by_m:tape} and more from the nearest surface",
    "91.hangs": "from the nearest surface",
    "91.runs-past-edge": "follows {board} and runs {by_m:tape} past its edge",
    "91.past-edge": "past the edge of {board}",
    "92.larger": "the hidden space of {furniture} is larger than {furniture} itself: {sides}.",
    "92.more-width": "{by_m:tape} more in width",
    "92.more-depth": "{by_m:tape} more in depth",
    "92.more-height": "{by_m:tape} more in height",
    "92.width": "width inside less outside",
    "92.depth": "depth inside less outside",
    "92.height": "height inside less outside",
    "92.too-big": "{item} is larger than the space in {furniture} that it is said to lie in "
    "({width_m:cm} x {depth_m:cm} x {height_m:cm} cm): {by_m:tape} of it stick out.",
    "92.measures": "it measures",
    "92.space-measures": "the space measures",
    "92.elsewhere": "{item} is said to lie inside {furniture}, and its place is {off_m:tape} off "
    "it.",
    "92.outside": "outside",
    "92.crowded": "{things} together are larger than the space in {furniture}.",
    "92.together": "all of them",
    "92.space": "the space",
    "93.of": "of {person}: {places:,}.",
    "93.outside": "{target} outside the room",
    "93.inside": "{target} inside {furniture}",
    "93.share": "{where}, share",
    "94.odd": "{of}: {numbers:;}.",
    "94.room": "the room",
    "94.plan": "the plan",
    "94.number": "{what} is {value:g}{unit:unit}, usually {low:g} to {high:g}{unit:unit} ({ask})",
    "94.band": "{what}",
    "94.meant": "did you mean {value:g}{unit:unit}?",
    "94.so": "is that so?",
    "94.from": "usually from",
    "94.to": "to",
    "94.assumed-bands": "what is usual is our own table of bands",
}

SENTENCES: Mapping[str, str] = {
    **_LOAD,
    **_STRIPS_AND_CORDS,
    **_EARTH_AND_SUPPLY,
    **_HEAT_AND_MOTORS,
    **_LIGHTS_AND_STRIPS,
    **_PLACES,
}
"""By rule and key; what is not here is among :data:`SHARED`."""
