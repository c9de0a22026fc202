# English, the language of reference. Every alert goes: first the hazard, then the number, then what to do.
# A message is named `Enum-Variant` after src/speech/*.rs, its variables after the variant's fields.

## Units

Unit-NauticalMiles = { $miles } nautical miles

Aloud-Figures = zero one two three four five six seven eight nine
Aloud-Degrees = { $degrees } degrees
Aloud-Scope = { $scope } to one
Aloud-Metres = { $count ->
    [one] metre
   *[other] metres
}
Aloud-Feet = { $count ->
    [one] foot
   *[other] feet
}
Aloud-Knots = { $count ->
    [one] knot
   *[other] knots
}
Aloud-Seconds = { $count ->
    [one] second
   *[other] seconds
}
Aloud-Minutes = { $count ->
    [one] minute
   *[other] minutes
}
Aloud-Hours = { $count ->
    [one] hour
   *[other] hours
}
Aloud-Days = { $count ->
    [one] day
   *[other] days
}
Aloud-PerCent = per cent
Aloud-Volts = { $count ->
    [one] volt
   *[other] volts
}

## Names

Hazard-dragging = dragging
Hazard-swingExceeded = outside the swinging circle
Hazard-windShift = wind shift
Hazard-windStrength = strong wind
Hazard-shoaling = shoaling
Hazard-scopeShort = scope short
Hazard-position = no position
Hazard-dataLink = no data server
Hazard-watch = the watch itself
Hazard-instrument = instrument lost
Short-dragging = dragging
Short-swingExceeded = out of circle
Short-windShift = wind shift
Short-windStrength = strong wind
Short-shoaling = shoaling
Short-scopeShort = scope short
Short-position = no position
Short-dataLink = data link
Short-watch = watch impaired
Short-instrument = instrument lost
Cleared-dragging = no longer dragging
Cleared-swingExceeded = back inside the circle
Cleared-windShift = wind shift cleared
Cleared-windStrength = wind down
Cleared-shoaling = deep enough again
Cleared-scopeShort = scope enough again
Cleared-position = position restored
Cleared-dataLink = data server restored
Cleared-watch = the alert about the watch is over
Cleared-instrument = instruments restored
Priority-caution = caution
Priority-warning = warning
Priority-alarm = alarm
Priority-emergencyAlarm = emergency

## Alerts

-lookout = drag cannot be detected, keep a lookout
under-way = { $under_way ->
    [yes] ; under way? weigh to end the watch
   *[no] {""}
}
at-unseen = { $unseen ->
    [none] {""}
   *[other] {" "}at { $unseen }
}
Alert-Dragging = dragging: { $kind ->
    [mooring] the mooring
   *[other] the anchor
} { $unseen ->
    [none] has
   *[other] had
} moved { $moved } or more{ $reach ->
    [none] {" "}from where it held
   *[other] {""}
}{ at-unseen }; the mark { $unseen ->
    [none] bears
   *[other] bore
} { $bearing } at { $distance }{ $antenna ->
    [yes] {" "}from the GPS antenna
   *[no] {""}
}{ $reach ->
    [none] {""}
   *[other] , the rode reaches { $reach }
}; look outside, start the engine{ under-way }
Alert-OutsideCircle = outside the swinging circle: { $radius } from the anchor{ at-unseen }, the circle is { $limit }; look for shallows and neighbours{ under-way }
Alert-OutsideLastCircle = outside the swinging circle: { $radius } from the mark{ at-unseen }, the widest circle about it is { $limit }; look for shallows and neighbours{ under-way }
now-from = { $from ->
    [none] {""}
   *[other] , now from { $from }
}
-wind-shift = wind shift
-check-shelter = check shelter, swinging room and how she is lying
Turned-Veered = veered { $turn }
Turned-Backed = backed { $turn }
Alert-WindShift = { -wind-shift }: { $set } since the anchor was set{ now-from }; { -check-shelter }
Alert-WindShiftAgain = { -wind-shift }: { $seen } since it was acknowledged, { $set } since the anchor was set{ now-from }; { -check-shelter }
-check-chafe = check the rode for chafe, veer if there is room, have the engine ready
Alert-StrongWind = strong wind: mean { $mean }{ $gust ->
    [none] {""}
   *[other] , gusts to { $gust }
}; { -check-chafe }
Alert-StrongGusts = strong wind: gusts to { $gust }, mean { $mean }; { -check-chafe }
last-sounded = { $sounded ->
    [none] {""}
   *[other] {" "}when last sounded at { $sounded }, the sounder has lost the bottom since
}
-deeper = check sounder and tide, move to deeper water
Alert-NoWater = shoaling: no water under the keel{ last-sounded } ({ $short } short); { -deeper }
Alert-Shoaling = shoaling: { $depth } under the keel{ last-sounded }, minimum { $least }; { -deeper }
Alert-ShoalingAtLowWater = shoaling: { $depth } under the keel at low water where she has swung, minimum { $least }; check the tide table
Alert-ScopeShort = scope too short: { $scope }:1 { $when }, want { $wanted }:1; veer more rode if there is room
When-Now = now
When-AtHighWater = at the coming high water
When-InThisWind = in this wind
When-InTheLastWind = in the strong wind that was last heard
Alert-NoPosition = no usable position since { $since }: { $why }{ $anchored ->
    [yes] ; { -lookout }
   *[no] {""}
}
Alert-PositionInDoubt = position in doubt since { $since }: { $why }; both are doubted, keep a lookout
Alert-ServerLost = Signal K server lost since { $since }: { $why }; { -lookout }
Alert-ServerSilent = Signal K server silent since { $since }; { -lookout }
Alert-DisplaysBlind = displays may show nothing: { $why }
Alert-InstrumentLost = { $what }: { $costs }; check the instruments

## Why there is no fix

NoFix-NoData = no data from the GPS
NoFix-NoServer = no data server: { $why }
NoFix-Old = the last is { $age } old
NoFix-Empty = the receiver sends none
NoFix-NullIsland = the receiver sends 0° N 0° E
NoFix-Method = { $method ->
    [noFix] the receiver says it has no fix
    [deadReckoning] the receiver carries on by dead reckoning
    [manual] the position is typed in by hand
    [simulator] the receiver is in simulator mode
    [error] the receiver reports an error
   *[satellite] the receiver is in doubt
}
NoFix-Unsaid = the receiver does not say whether it has a fix
NoFix-Unsafe = the receiver calls its own fix unsafe
NoFix-Frozen = the coordinates are frozen
NoFix-Jump = it jumped by { $by }
NoFix-Disagrees = the places and the speed over the ground differ by { $by } in half a minute
NoFix-Wanders = with a poor view of the sky it wanders, { $by } in ten seconds

## Instruments

Instrument-wind = wind instrument
Instrument-windDirection = wind vane
Instrument-sounder = sounder
Instrument-heading = heading sensor
Instrument-speed = speed over the ground
Instrument-revolutions = engine's revolutions
Instrument-ais = AIS
Cost-wind = wind shift and strength are not watched
Cost-windDirection = wind shift is not watched
Cost-sounder = depth, keel and scope are not watched
Cost-heading = position of the bow less certain, a drag is detected later
Cost-speed = a GPS jump is harder to tell from a drag
Cost-revolutions = the pull test does not see the load
Cost-ais = other vessels are not seen
Loss-Flickers = { $instrument } comes and goes for { $time }
Loss-NotHeard = { $instrument } not heard since the restart { $time } ago
Loss-Silent = { $instrument } silent for { $time }
Loss-NoBottom = { $instrument } has had no bottom for { $time }
Loss-NoValue = { $instrument } has had no value for { $time }
Loss-Impossible = { $instrument } has sent impossible values for { $time }
Loss-Frozen = { $instrument } frozen, it repeats one reading

## The watch itself

Health-Changed = the watch was changed: { $changes }
Health-Impaired = the watch is impaired: { $causes }
Health-Stopped = windrode was stopped: the anchor is not watched
Health-MayBeLost = a watch may have been lost: { $why }; if she is at anchor, enter its position (`windrode let-go --position`), otherwise acknowledge
Health-NoPhone = no phone channel works ({ $channels }): nobody ashore will be alerted; check the boat's internet link
Health-BatteryLow = house battery low: { $volts }, minimum { $least }; charge it, or the watch and its alarms stop
Health-ClockSet = this computer's clock was set { $back ->
    [yes] back
   *[no] forward
} by { $by }, { $ago } ago; earlier times are wrong by that, check the tide again
Health-Unmarked = no anchor is marked: she has lain still for { $lain } in { $depth } of water and is not watched; `letGo` starts the watch{ $from_track ->
    [none] {""}
   *[other] , `fromTrack` marks it where it seems to lie, { $from_track } off
}
Health-WeighedAndHere = the anchor was weighed { $gone } ago and she is still in the same place; if it is down, let go again: she is not watched
Health-WeighedAndDrifted = the anchor was weighed { $gone } ago, the engine has not run and she has drifted { $moved }; if she is to lie at anchor, look outside and let go again
by = { $by ->
    [terminal] at the terminal
    [server] over the data server
    [phone] from a phone
   *[display] from a display
}
-if-not = if none of the crew did that,
Changed-Ended = the watch was ended { by }, the mark was at { $mark }; { -if-not } let go again with that `position`
Changed-SecondMarked = the second anchor was marked anew { by }, { $moved } from the old mark
Changed-Marked = the anchor was marked anew { by }, { $moved } from the old mark; { -if-not } put it back to { $mark }
Changed-MarkMoved = the mark was moved { by } by { $moved }; { -if-not } put it back to { $mark }
Changed-CircleWidened = the swinging circle was widened { by }, from { $old } to { $new }; { -if-not } set it back
Changed-RodeSet = the rode was set to { $rode } { by }, so a drag is found late; { -if-not } set it back

## Messages to phones

Push-AlertTitle = { $boat }: { $priority }, { $hazard }
Push-NotAcknowledged = { $alert } (since { $since }, not acknowledged)
Push-Stands = { $alert } (since { $since })
Push-Acknowledged = acknowledged: { $alert } (since { $since })
Push-GoneNotAcknowledged = cleared, not acknowledged: { $alert } (since { $since })
Push-ClearedTitle = { $boat }: { $cleared }
Push-Cleared = { $hazard }: cleared
Push-ClearedUnwatched = { $hazard }: cleared, no anchor is watched now
Push-WeighedTitle = { $boat }: the anchor was weighed
Push-Weighed = the anchor was weighed and the watch has ended; { $hazard }: no longer watched
missed = { $count ->
    [one] { $count } alert
   *[other] { $count } alerts
} while offline, { $anchored ->
    [yes] cleared
   *[no] and no anchor is watched now
}
Push-MissedTitle = { $boat }: { missed }
Push-Missed = { missed }: { $hazards }; from { $since } to { $until }
Push-DarkTitle = { $boat }: no word from the anchor watch
Push-Dark = no word from the anchor watch for { $after }: the boat's link ashore or the watch itself is down; call someone near the boat
Push-TestTitle = { $boat }: a test, no alert
Push-Test = this is a test of `{ $channel }`, as urgent as an alarm, sent at { $clock } UTC by `windrode check`; nothing is wrong
