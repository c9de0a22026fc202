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
Hazard-scopeShort = scope too short
Hazard-position = no position
Hazard-dataLink = no data server
Hazard-watch = the watch itself
Hazard-instrument = instrument lost
Hazard-neighbour = vessel too close
Short-dragging = dragging
Short-swingExceeded = out of circle
Short-windShift = wind shift
Short-windStrength = strong wind
Short-shoaling = shoaling
Short-scopeShort = scope too short
Short-position = no position
Short-dataLink = data link
Short-watch = watch impaired
Short-instrument = instrument lost
Short-neighbour = vessel close
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
Cleared-neighbour = no vessel too close
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
Alert-PositionInDoubt = position in doubt since { $since }: { $why }; trust neither, keep a lookout
Alert-PositionJumped = position jumped by { $by }, faster than a boat moves; drag is judged without the jump for { $held } at most
Alert-PositionJumps = position in doubt: it jumped { $count } times within { $within }; drag may be reported late or falsely, keep a lookout
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
NoFix-Disagrees = positions and speed over the ground differ by { $by } in half a minute
NoFix-Wanders = poor view of the sky, it wandered { $by } in ten seconds

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
Loss-Flickers = { $instrument } intermittent for { $time }
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
Health-TokenEnds = our token for the server { $over ->
    [yes] expired
   *[no] expires
} on { $day }: without it no display shows an alarm; remove windrode from the devices in the server's security settings and approve its new request, or enter a new token
Health-FoundServer = joined the server of `{ $name }` at `{ $url }`, found on the network: if that is not your boat, enter your server's address as `server.url` and restart windrode
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
Changed-SecondMarked = the second anchor was marked again { by }, { $moved } from the old mark
Changed-Marked = the anchor was marked again { by }, { $moved } from the old mark; { -if-not } put it back to { $mark }
Changed-MarkMoved = the mark was moved { by } by { $moved }; { -if-not } put it back to { $mark }
Changed-CircleWidened = the swinging circle was widened { by }, from { $old } to { $new }; { -if-not } set it back
Changed-RodeSet = the rode was set to { $rode } { by }, so a drag is found late; { -if-not } set it back

## Answers to orders


more-than-aboard = { $aboard ->
    [none] {""}
   *[other] , which is more than the { $aboard } aboard (`tackle.rode_aboard`)
}
Rode-NotEntered = , rode not entered: assuming all { $longest } is out until `rodeOut` is given
Rode-ToVeer = , { $rode } of rode to be veered{ more-than-aboard }
in-water = { $depth ->
    [none] , depth not known
   *[other] , in { $depth } of water
}
with-circle = { $circle ->
    [none] {""}
   *[other] , swinging circle of { $circle } to her centre
}
Answer-LetGo = anchor let go at { $position }{ $berth ->
    [none] {""}
   *[other] , { $berth } from the berth
}{ $rode }{ in-water }{ with-circle }{ $remarks }
Answer-MadeFast = { $kind ->
    [shoreLine] made fast to the shore, her centre at
    [sternTo] made fast stern to, her centre at
   *[mooring] moored at
} { $position }{ with-circle }{ in-water }{ $remarks }; { $not_judged }
Answer-SecondLetGo = second anchor let go at { $position }, { $apart } from the first{ $rode }{ $remarks }; { $not_judged }
Besides-Estimated = , estimated from { $lain } of track, good to { $doubt } (95 %), { $radius } from the bow roller
Besides-LainAt = ; she has lain here for { $lain }: if the anchor was let go before, it lies at about { $position }, let go again with `fromTrack` to mark it there
Besides-Lain = ; she has lain here for { $lain }: if the anchor was let go before, it does not lie under the bow now: give its `position`
Besides-OldFix = ; the position is { $age } old, so the mark may be off by { $doubt } (95 %){ $second ->
    [yes] {""}
   *[no] {":"} correct it with `mark` if you know the place better
}
Besides-BowNotKnown = ; { $heading ->
    [yes] `boat.antenna_from_bow` is not set
   *[no] there is no heading
}, so this is the position of the GPS antenna, and the anchor may lie { $doubt } from it
Answer-Veered = { $rode } of rode out{ more-than-aboard }, { $scope ->
    [none] scope not known without a depth
   *[other] scope { $scope }:1
}
Answer-Weighed = anchor aweigh after { $lay }; the watch has ended
Answer-NoBerth = no berth planned
Answer-Berth = berth planned at { $position }
Answer-BerthFromHere = berth planned at { $position }, bearing { $bearing } at { $distance }
Answer-MarkAlready = the mark lies at { $position } already
Answer-MarkCorrected = mark corrected by { $by } to { $position }
Answer-Circle = swinging circle of { $radius } to the boat's centre{ $outside ->
    [none] {""}
   *[other] , and she is outside it now, { $outside } from the mark
}
Answer-CircleAsGiven = swinging circle as given with `letGo` again
Answer-CircleFromRode = swinging circle calculated from the rode again
how-many = { $count ->
    [one] one alert
   *[other] { $count } alerts
}
Answer-HazardAcknowledged = `{ $hazard }` acknowledged
Answer-Acknowledged = { how-many } acknowledged
Answer-HazardSilenced = `{ $hazard }` silenced for 30 s
Answer-Silenced = { how-many } silenced for 30 s
Answer-PullBegun = pull test begun: put the engine astern, raise it slowly to a working load and hold it there for a minute or more
Answer-PullRuns = the pull test is running
Answer-PhonesDoubtful = { $said }; no phone channel has worked lately ({ $channels }): alerts may reach displays aboard only

## Refusals

Refusal-NoFix = no usable position to mark the anchor with ({ $why }); give `position`, or let go again when there is a fix
Refusal-NotAtAnchor = not at anchor: `letGo` comes first
Refusal-RodeTooShort = `{ $name }` = { $rode } does not reach the bottom: { $depth } of water and the bow roller { $roller } up; veer more
Refusal-Impossible = `{ $name }` = { $value } is out of range; give { $least } to { $most }
Refusal-NoRadius = `kind` = `{ $kind }` has no rode to calculate a circle from: give `radius`, to the boat's centre
Refusal-Misplaced = `{ $member }` has no meaning with `kind` = `{ $kind }`; leave it out
Refusal-NoFirst = no first anchor is marked; let go the first one without `kind`
-no-track = the track does not show where the anchor lies:
Refusal-NotLain = { -no-track } she has not lain still for { $after }; give `position`
Refusal-NotSwung = { -no-track } in { $lain } she has not swung enough, or not as rode and depth suggest; give `position`
Refusal-NoPull = no pull test for `{ $kind }`
Refusal-NoTest = no pull test is running; `pullTest` = `true` starts one
Refusal-Marked = she is { $moored ->
    [yes] moored
   *[no] at anchor
} since { $since } UTC{ $away ->
    [none] {""}
   *[other] , the mark is { $away } from the bow
}; `weigh` first, or give `reanchored` if she was anchored again, or give `kind` = `secondAnchor` for another anchor as well
Refusal-MarkedSecond = a second anchor is marked already, { $apart } from the first; give `reanchored` too if it was let go again
Refusal-TooFar = `{ $name }` lies { $distance } from the { $from_mark ->
    [yes] mark
   *[no] boat
}, the limit is { $limit }; check latitude and longitude, west and south are negative
Refusal-NoAlert = there is no alert to acknowledge or silence
Refusal-AcknowledgedAlready = it is acknowledged already
Refusal-Emergency = an emergency alarm cannot be silenced; acknowledge it

## The story

PhaseName-aweigh = aweigh
PhaseName-setting = setting
PhaseName-set = set
PhaseName-dragging = dragging
Note-Phase = { $phase }: { $how }
Note-Moves = the anchor is moving
Note-Holds = she has lain quietly for { $quiet }: the anchor holds
Note-HoldsElsewhere = she holds again; the anchor probably lies { $moved } from the old mark, bearing { $bearing } from it, within { $doubt }
Note-WithinReach = she lies within her reach again
goes-on = the watch goes on after a restart ({ $phase }): blind
Note-GoesOn = { goes-on } since { $since } UTC, for { $blind }
Note-GoesOnClockBack = { goes-on } for an unknown time: the clock has gone back
Note-GoesOnUnknown = { goes-on } for an unknown time
Note-OtherReceiver = the position comes from `{ $source }` now, `{ $before }` gives no usable fix; they differ by { $apart }
Note-ShownAgain = somebody set the notification `{ $hazard }` to normal on the data server although the alert is still on; it is shown again
Note-Silenced = silenced for 30 s: { $alert }
Note-GoneNotAcknowledged = cleared, not acknowledged: { $alert }

## The pull test

Verdict-held = held
Verdict-yielding = dragging under power
Verdict-cannotTell = cannot tell
PullTest-Held = pull test: { Verdict-held }: { $why }
PullTest-Yielding = pull test: { Verdict-yielding }: { $why }; veer more rode and try again, or weigh
PullTest-CannotTell = pull test: { Verdict-cannotTell }: { $why }; inconclusive: do not rely on it
under-load = under { $rpm ->
    [none] the pull
   *[other] { $rpm } rpm
}
-moved = she moved
Pull-NoLoad = no load yet; at least { $needed } rpm needed
Pull-TooShort = { $held } s of steady load so far, { $needed } s needed
Pull-NotSteady = the load was not steady, it changed { $changes } times; hold one throttle setting for { $needed } s
Pull-NoPosition = no usable position while the engine pulled
Pull-Moved = { -moved } { $figures } { under-load }
Pull-MovedNone = no movement beyond GPS error ({ $figures }) { under-load }
Pull-TowardsAnchor = { -moved } { $figures }, towards the anchor: the pull is not on the rode
Pull-StillMoves = { -moved } { $figures } and still falls back; hold the load
Pull-Uncertain = { -moved } { $figures }, too uncertain to tell; hold the load longer
Pull-Figures = { $moved } ± { $doubt } { $ahead ->
    [yes] ahead
   *[no] astern
} in { $seconds } s

## Remarks

Remark-NotJudged = { $kind ->
    [secondAnchor] two anchors: cannot tell which one drags while she lies within both reaches
    [mooring] on a mooring: mooring gear not checked; a drag shows only outside the circle entered
    [shoreLine] on lines to the shore: dragging and scope not watched, only the circle entered
   *[sternTo] stern to: an anchor that drags towards the quay does not show in a fix; dragging and scope not watched, only the circle entered
}
Remark-NotSettled = not set yet: in the last { $settle } she has moved { $moved } { $farther ->
    [yes] farther from
   *[no] nearer to
} the mark
Remark-SecondAnchor = second anchor at { $position }, its rode reaches { $reach }
Remark-RodeAssumed = rode not entered: assuming all { $rode } is out, a drag is detected late; enter it with `veer`
Remark-Counter = rode out by the chain counter: { $rode }
Remark-CounterIgnored = chain counter ignored: its { $rode } does not reach the bottom
Remark-Tide = tide { $tide }
Remark-TideAndSoundings = tide { $tide }; soundings show { $surge } { $less ->
    [yes] less
   *[no] more
} than that
Remark-NoTide = no tide: scope and keel checked for the present depth only
Remark-NoDraught = draught not set: depth under the keel not checked; set `boat.draught`
Remark-NoDepth = depth not known: reach assumed to be the whole rode, scope not checked
Remark-NoWindAtSet = no wind when the anchor set: wind shift not watched
Remark-NoHeading = no heading: position of the bow not known; the margin is wider by its distance from the antenna
Remark-NoAntenna = position of the antenna not set: `boat.antenna_from_bow`; adds half a boat length of error
Remark-NoTransducer = it is not known what the sounder measures depth from: set `boat.transducer_depth` or `boat.draught`
Remark-FixInDoubt = GPS in doubt: { $doubts }; drag watched with a wider margin
Doubt-Satellites = { $count ->
    [one] { $count } satellite
   *[other] { $count } satellites
}
Doubt-Geometry = a poor geometry ({ $dilution })
Doubt-Caution = the receiver calls for caution
Doubt-Scatter = fixes that scatter by { $by }
Doubt-Apart = positions and speed { $by } apart
TideBy-Server = from the data server: { $words }
TideBy-Prediction = predicted: { $words }
TideBy-Typed = as typed in
tide-at = { $time ->
    [none] {""}
   *[other] {" "}at { $time }
}
TideWords-High = high water { $height }{ tide-at }
TideWords-Low = low water { $height }{ tide-at }
TideWords-NoHigh = high water not given
TideWords-NoLow = low water not given
TideWords-Server = { $high }, { $low }; later tides are not known
TideWords-Station = { $station }, until { $until }: highest { $highest } at { $highest_at }, lowest { $lowest } at { $lowest_at }

## Messages to phones

Push-AlertTitle = { $boat }: { $priority }, { $hazard }
Push-AcknowledgedTitle = { $boat }: acknowledged, { $hazard }
Push-GoneTitle = { $boat }: { $hazard }: cleared, not acknowledged
Push-NotAcknowledged = { $alert } (since { $since }, not acknowledged)
Push-Stands = { $alert } (since { $since })
Push-ClearedTitle = { $boat }: { $cleared }
Push-Cleared = { $priority } cleared
Push-ClearedUnwatched = { $priority } cleared, no anchor is watched now
Push-WeighedTitle = { $boat }: the anchor was weighed
Push-Weighed = the watch has ended; { $hazard }: no longer watched
missed = { $count ->
    [one] { $count } alert
   *[other] { $count } alerts
} while offline, { $anchored ->
    [yes] cleared
   *[no] and no anchor is watched now
}
Push-MissedTitle = { $boat }: { missed }
Push-Missed = { $hazards }; from { $since } to { $until }
Push-DarkTitle = { $boat }: no word from the anchor watch
Push-Dark = silent for { $after }: the boat's link ashore or the watch itself is down; call someone near the boat
Push-TestTitle = { $boat }: a test, no alert
Push-Test = sent through `{ $channel }` at { $clock } UTC by `windrode check`, as urgent as an alarm; nothing is wrong

DrillTold-Mark = DRILL
DrillTold-Message = { DrillTold-Mark }: { $message }

## The status

PhaseName-moored = moored
Label-wind = wind
Label-windDirection = wind from
Label-sounder = depth
Label-heading = heading
Label-speed = speed
Label-revolutions = engine
Label-ais = AIS
Row-Anchor = anchor
Row-Mooring = mooring
Row-Reach = reach
Row-Circle = circle
Row-Snubber = snubber
Row-Dragging = dragging
Row-PullTest = pull test
Row-Wind = wind
Row-Depth = depth
Row-Berth = berth
Row-Approach = approach
Row-Way = way
Row-Vessel = vessel
Row-Plan = plan
Row-Room = room
Row-Fix = fix
Row-Server = server
Row-Journal = journal
Row-Phone = phone
ago = { $ago ->
    [none] {""}
   *[other] , { $ago } ago
}
state = { $state ->
    [unacknowledged] , not acknowledged
    [silenced] , silenced, not acknowledged
    [acknowledged] , acknowledged
    [gone] , cleared, not acknowledged
    [normal] , cleared
   *[shown] {""}
}
Status-Headline = { $phase }{ $since ->
    [none] {""}
   *[other] {" "}since { $since } ({ $ago })
}
Status-NoAlerts = no alerts
Status-Alert = { $priority }{ state }, since { $since }
Status-AlertInShort = { $priority }{ state }: { $hazard }
Status-WhenSeen = when you have seen it: `windrode acknowledge { $hazard }`
Status-AnchorBears = bears { $bearing } at { $distance } from the { $antenna ->
    [yes] GPS antenna
   *[no] bow roller
}{ ago }
Status-AnchorAt = { $position }{ $depth ->
    [none] {""}
   *[other] , let go in { $depth }
}
Status-Reach = { $reach } ({ $rode ->
    [none] rode not entered
   *[other] { $rode } of rode out
}{ $scope ->
    [none] {""}
   *[other] , scope { $scope }:1{ $let_go ->
        [yes] {" "}by the depth when it was let go
       *[no] { ago }
    }
})
Status-Circle = { $circle } about the { $mooring ->
    [yes] mooring
   *[no] anchor
}{ $radius ->
    [none] {""}
   *[other] ; boat { $ago ->
        [none] {""}
       *[other] was{" "}
    }{ $radius } from it{ ago }
}
Status-Drag = { $percent ->
    [none] more than 99
   *[other] { $percent }
} % likely, { $beyond ->
    [none] within reach
   *[other] { $beyond } beyond the reach
}{ ago }
Status-PullTest = { $verdict }: { $why }
Status-Wind = { $from } { $speed }{ $gust ->
    [none] {""}
   *[other] , gusts to { $gust }
}{ $shift ->
    [none] {""}
   *[other] , { $shift } since set
}{ ago }
Status-Depth = { $depth } of water{ ago }
Status-Berth = bears { $bearing } at { $distance }{ $time ->
    [none] {""}
   *[other] , { $time } away
}{ ago }
Status-Approach = head to wind is { $course }{ ago }{ $off ->
    [none] {""}
   *[other] , { $off } to { $port ->
        [yes] port
       *[no] starboard
    } of the line to the berth
}
Status-Fix = good to { $doubt } (95 %), from `{ $source }`
Status-NoFix = NO FIX: drag cannot be detected{ $ago ->
    [none] {""}
   *[other] ; the last was { $ago } ago
}
Status-NotHeard = not heard since windrode started
Status-Failing = { $what ->
    [noBottom] no bottom
    [noValue] no value
    [impossible] impossible values
    [frozen] frozen
   *[silent] silent
} for { $time }
Status-Phone = `{ $channel }` { $state ->
    [untried] not tried yet
    [working] works
    [failing] FAILS
   *[refused] REFUSED
}{ $worked ->
    [none] {""}
   *[other] , last worked { $worked } ago
}{ $waiting ->
    [0] {""}
    [one] , { $waiting } message waits
   *[other] , { $waiting } messages wait
}{ $trouble ->
    [yes] ; `windrode check` says why
   *[no] {""}
}
Status-Caution = An aid, no substitute for a lookout and an anchor watch. Not for navigation.
Screen-Server = server { $link }
Screen-NoAnswer = NO ANSWER from windrode since { $since }
Screen-IsItRunning = Is it running? `systemctl status windrode`
Screen-NotWatched = The anchor may not be watched. Keep a lookout.
Screen-NoFigures = No figure is shown, because none is live.
Screen-NoAnchor = no anchor is marked
Screen-NoBoat = no fix: the boat is not shown
Screen-NorthUp = north is up
Screen-More = more: windrode status
Screen-Keys = a acknowledge   s silence 30 s   q quit

## The picture

Picture-Title = { $phase }, no alerts
Picture-AlertTitle = { $priority }: { $hazard }
Picture-NotWatched = the anchor is not watched
Picture-Since = since { $since }, for { $time }
Picture-SinceUnknown = since when is not known
Picture-Also = also { $hazards }
Picture-AnchorFrom = anchor from { $antenna ->
    [yes] antenna
   *[no] bow
}
Picture-BerthFrom = berth from { $antenna ->
    [yes] antenna
   *[no] bow
}
Picture-TimeToBerth = time to berth
Picture-WindFrom = wind from
Picture-HeadToWind = head to wind
Picture-Depth = depth
Picture-DepthAndScope = depth, scope
Picture-Reach = reach of rode
Picture-Circle = swinging circle
Picture-Fix = fix, 95 %
Picture-Vector = { $distance } { $bearing }{ ago }
Picture-Wind = { $speed } { $from }{ ago }
Picture-DepthAgo = { $depth }{ ago }
Picture-FixDoubt = ±{ $doubt }
Picture-NoFixFor = none for { $time }
Picture-NotKnown = not known
Picture-Aid = An aid, no substitute for a lookout.
Picture-NotForNavigation = Not for navigation.
Picture-NoPlace = no place is known
Picture-Seen = seen { $ago } ago
Picture-NoHeading = no heading
Picture-BerthLabel = berth
Picture-CircleLabel = circle { $radius }
Picture-PlannedLabel = planned { $radius }
Picture-LeastLabel = least { $depth }
Picture-ReachLabel = reach { $radius }
Picture-OneHour = 1 h
Picture-Now = now

## On the displays' chart

Drawing-Circle = Swinging circle
Drawing-CircleText = The boat's centre stays within { $radius } of the anchor
Drawing-Anchor = Anchor
Drawing-AnchorText = Where the anchor probably lies
Drawing-Berth = Berth
Drawing-BerthText = Planned position of the anchor

## The approach

Approaching-TurnUp = turn up into the wind now: course { $course }; the berth lies { $beyond } up-wind, she carries { $carries }
over-berth = over the berth ({ $distance }): let go
Approaching-LetGo = { over-berth }
Approaching-LetGoStopped = { over-berth }; she has stopped
Approaching-LetGoMoving = { over-berth }; { $speed } over the ground, she carries { $carries } more{ $stop ->
    [yes] ; stop her first
   *[no] {""}
}
Approaching-Passed = berth passed: it bears { $bearing } at { $distance }; let her drift back, or go round again
Approaching-StopEngine = stop the engine: at { $speed } she carries { $carries }, the berth is { $distance } off (common practice)
Approaching-SlowDown = slow down: { $speed }; no more than { $limit } within { $within } of the berth (common practice)
WayBy-entered = as entered
WayBy-learned = learned from her track
WayBy-assumed = assumed: two boat lengths from 2 kn; enter `boat.way`
Status-Way = carries { $carries } with the engine stopped, { $by }; turn up as far beyond the berth

## Other vessels

Alert-Neighbours = { $first }{ $also }{ $more ->
    [0] {""}
   *[other] ; and { $more } more
}{ $unseen ->
    [none] {""}
   *[other] {" "}(from our last position, at { $unseen })
}; { $danger ->
    [leaves] look outside, wake her crew, start the engine
    [passes] look outside, show a light
   *[liesCloser] look outside, put fenders out, shorten the rode or move
}
heard-ago = { $heard ->
    [none] {""}
   *[other] {" "}(heard { $heard } ago)
}
Vessel-Leaves = neighbour dragging or under way: { $name } has left her place, { $off } off, bears { $bearing }{ $after ->
    [none] {""}
   *[other] , closing at { $closing }, { $least ->
        [none] may touch
       *[other] passes { $least } off
    } in { $after }
}{ heard-ago }
Vessel-Passes = vessel passes close: { $name } { $least ->
    [none] may touch
   *[other] comes within { $least }
} in { $after }; { $off } off now, bears { $bearing }, closing at { $closing }{ heard-ago }
Vessel-LiesCloser = neighbour lies closer: { $name } is { $off } off, bears { $bearing }, closer than she lay before{ heard-ago }
Vessel-Also = ; also { $name }, { $off } off at { $bearing }
Vessel-Row = bears { $bearing } at { $distance }, { $doing ->
    [atAnchor] at anchor
    [moored] moored
    [leftHerPlace] has left her place
   *[underWay] under way
}{ $speed ->
    [none] {""}
   *[other] {" "}at { $speed }
}, heard { $heard } ago{ $circle ->
    [none] {""}
   *[other] ; her circle { $circle } ({ $assumed ->
        [yes] assumed
       *[no] by her track
    })
}{ $rooms ->
    [yes] , room { $together ->
        [none] none
       *[other] { $together }
    } swinging together, { $worst ->
        [none] none
       *[other] { $worst }
    } at worst
   *[no] {""}
}
Alert-MayDrag = { $kind ->
    [mooring] the mooring
   *[other] the anchor
} may be dragging, { $percent } % likely; the mark bears { $bearing } at { $distance }; check the position
Changed-Snubber = the snubber was changed { by }, so a drag is found late; { -if-not } enter it again
Answer-StillOn = { $said }; the snubber is on at { $at } of rode and she lies to { $drawn }: enter it again if it was moved or taken off
Answer-SnubberOff = snubber off{ $rode ->
    [none] {""}
   *[other] : she lies to { $rode } of rode
}
Answer-SnubberOn = snubber on at { $at } of rode, { $length } long: she lies to { $drawn }{ $scope ->
    [none] {""}
   *[other] , scope { $scope }:1
}{ $short ->
    [yes] ; have { $drawn } of rode out at least, or the chain bears and not the snubber
   *[no] {""}
}
Refusal-NoHook = the rode from the anchor to the hook is not known; give it as `at`
Refusal-NoSnubberLength = the length of the snubber is not known; give it as `length`, or for good as `tackle.snubber_length`
Refusal-HookBeyond = `at` = { $at } is more than the { $rode } of rode that is out; enter the rode first
Remark-Seldom = position reports every { $every }: a drag is seen late
Status-BerthFromAnchor = { $distance } from where the anchor lies, bearing { $bearing } from it
Status-Snubber = on at { $at } of rode, { $length } long: she lies to { $drawn }

## Charts, in the terms of IHO S-57 and INT 1

Class-ACHBRT = anchor berth
Class-ACHARE = anchorage
Class-CBLARE = cable area
Class-CBLSUB = submarine cable
Class-CTNARE = caution area
Class-COALNE = coastline
Class-DAMCON = dam
Class-DEPARE = depth area
Class-DEPCNT = depth contour
Class-DRGARE = dredged area
Class-DMPGRD = dumping ground
Class-FAIRWY = fairway
Class-FSHFAC = fishing stakes or traps
Class-FLODOC = floating dock
Class-HULKES = hulk
Class-LNDARE = land
Class-MARCUL = marine farm
Class-MIPARE = military practice area
Class-MORFAC = mooring facility
Class-OBSTRN = obstruction
Class-OFSPLF = offshore platform
Class-PILPNT = pile
Class-PIPARE = pipeline area
Class-PIPSOL = pipeline
Class-PONTON = pontoon
Class-RESARE = restricted area
Class-SLCONS = pier, wall or breakwater
Class-SOUNDG = sounding
Class-UWTROC = rock
Class-UNSARE = unsurveyed area
Class-WRECKS = wreck
Class-M_COVR = coverage
Class-M_QUAL = survey quality
Restriction-1 = anchoring prohibited
Restriction-2 = anchoring restricted
Restriction-3 = fishing prohibited
Restriction-4 = fishing restricted
Restriction-5 = trawling prohibited
Restriction-6 = trawling restricted
Restriction-7 = entry prohibited
Restriction-8 = entry restricted
Restriction-9 = dredging prohibited
Restriction-10 = dredging restricted
Restriction-11 = diving prohibited
Restriction-12 = diving restricted
Restriction-13 = no wake
Restriction-14 = area to be avoided
Restriction-15 = construction prohibited
Restriction-16 = discharging prohibited
Restriction-17 = discharging restricted
Restriction-18 = industrial or mineral exploration or development prohibited
Restriction-19 = industrial or mineral exploration or development restricted
Restriction-20 = drilling prohibited
Restriction-21 = drilling restricted
Restriction-22 = removal of historical artifacts prohibited
Restriction-23 = cargo transhipment prohibited
Restriction-24 = dragging prohibited
Restriction-25 = stopping prohibited
Restriction-26 = landing prohibited
Restriction-27 = speed restricted
Datum-1 = mean low water springs
Datum-2 = mean lower low water springs
Datum-3 = mean sea level
Datum-4 = lowest low water
Datum-5 = mean low water
Datum-6 = lowest low water springs
Datum-7 = approximate mean low water springs
Datum-8 = Indian spring low water
Datum-9 = low water springs
Datum-10 = approximate lowest astronomical tide
Datum-11 = nearly lowest low water
Datum-12 = mean lower low water
Datum-13 = low water
Datum-14 = approximate mean low water
Datum-15 = approximate mean lower low water
Datum-16 = mean high water
Datum-17 = mean high water springs
Datum-18 = high water
Datum-19 = approximate mean sea level
Datum-20 = high water springs
Datum-21 = mean higher high water
Datum-22 = equinoctial spring low water
Datum-23 = lowest astronomical tide
Datum-24 = local datum
Datum-25 = International Great Lakes Datum 1985
Datum-26 = mean water level
Datum-27 = lower low water large tide
Datum-28 = higher high water large tide
Datum-29 = nearly highest high water
Datum-30 = highest astronomical tide
Sureness-1 = depth known
Sureness-2 = depth unknown
Sureness-3 = doubtful sounding
Sureness-4 = unreliable sounding
Sureness-5 = no bottom found at value shown
Sureness-6 = least depth known
Sureness-7 = least depth unknown, safe clearance at value shown
Sureness-8 = value reported (not surveyed)
Sureness-9 = value reported (not confirmed)
Sureness-10 = maintained depth
Sureness-11 = not regularly maintained
WaterLevel-1 = partly submerged at high water
WaterLevel-2 = always dry
WaterLevel-3 = always under water
WaterLevel-4 = covers and uncovers
WaterLevel-5 = awash
WaterLevel-6 = subject to flooding
WaterLevel-7 = floating
Height-Depth = { $at }
Height-Drying = drying { $by }
Charted-Between = { $class } { $least } to { $most }
Charted-At = { $class } { $depth }
Charted-NoDepth = { $class } without a depth
Charted-UnknownDepth = { $class } of unknown depth
Charted-FoulGround = foul ground
Charted-Named = { $what } ({ $name })
Charted-Ruled = { $what }: { $rules }
Charted-Code = code { $number } of { $attribute }
Place-Centre = { $what }, at the centre
Place-Off = { $what }, { $distance } at { $bearing } from the centre
Share-All = all
Share-MoreThan99 = more than 99 %
Share-LessThan1 = less than 1 %
Share-Part = { $percent } %
Against-Solid = not all of it is water: { $what }
Against-Grounds = she grounds at low water, by { $by }: { $what }
Against-GroundsAtLowWater = she grounds at low water, by { $by }: { $what }; now { $left } under the keel there
Against-MarginShort = { $left } under the keel at low water, minimum { $margin }: { $what }
Against-UnknownDanger = a danger of unknown depth: { $what }{ $count ->
    [one] {""}
   *[other] ; { $count } such dangers in all
}
Against-NotCovered = { $share } of it is on no chart here; what is there is not known
Against-NoDepth = the chart gives no depth for { $share } of it
Against-Touches = it touches: { $what }
Against-Foul = deep enough for the keel, but an anchor may foul it: { $what }
Sheet-Cell = { $name }, { $scale ->
    [none] scale not stated
   *[other] 1:{ $scale }
}, { $datum ->
    [none] datum not stated
   *[other] depths below { $datum }
}{ $edition ->
    [none] {""}
   *[other] , edition { $edition }
}{ $update ->
    [none] {""}
   *[other] , update { $update }
}{ $issued ->
    [none] {""}
   *[other] , issued { $issued }
}
Sheet-Told = { $cell }{ $count ->
    [0] {""}
   *[other] , and { $count } more
}, survey quality { $survey ->
    [none] not stated
   *[other] { $survey }
}
on-chart = { $chart ->
    [none] {""}
   *[other] {" "}(chart { $chart })
}
by-own = { $own ->
    [none] {""}
   *[other] {" "}by the boat's own sounding ({ $own })
}
RoomToSwing-Clear = room to swing is clear by the chart{ $least ->
    [none] {""}
   *[other] , least depth { $least } at low water{ by-own }
}{ on-chart }
-not-clear = room to swing NOT CLEAR
RoomToSwing-NotClear = { -not-clear }: { $reasons }{ on-chart }
RoomToSwing-NotClearHere = { -not-clear } about the anchor: { $reasons }; consider anchoring again now{ on-chart }
RoomToSwing-NotRead = the chart is still being read; the result follows
RoomToSwing-NoCharts = no charts aboard: room to swing is not checked{ $own ->
    [none] {""}
   *[other] ; the shoalest of the boat's own soundings there: { $own }; they cover only where she has been
}
RoomToSwing-Unreadable = room to swing is not checked: the charts cannot be read, the log says why
RoomToSwing-NotSized = no circle: the chart gives no depth at the berth and there is no data from the sounder
Planning-Circle = { $depth }; rode { $rode }{ $scope }{ $may_be_deeper ->
    [yes] { $by_soundings ->
        [yes] ; this rode is for the shoalest sounding and may be TOO SHORT, sound the berth before letting go
       *[no] ; the chart has no deep bound there: this rode is for the shoal bound and may be TOO SHORT, sound the berth before letting go
    }
   *[no] {""}
}{ $aboard ->
    [none] {""}
   *[other] , NOT ENOUGH ABOARD: { $aboard }
}; { $circle ->
    [none] that rode does not reach the bottom
   *[other] circle { $circle } to the stern
}
with-scope = { $scope ->
    [none] {""}
   *[other] , scope { $scope }
}
Planning-ScopeAsAsked = {" "}as asked{ with-scope }
Planning-Scope = { with-scope }, planned { $planned }: { $why }
Planning-DepthWithTide = { $by }; { $high } of water at high water, { $low } at low water
Planning-ChartedNoTide = { $by }, no tide known
Planning-SoundedNoTide = { $by }; { $depth } of water, no tide known
sounded-there = { $own ->
    [none] {""}
   *[other] {" "}(sounded there: { $own })
}
Planning-Charted = charted depth { $least } { $most ->
    [none] or more
   *[other] to { $most }
}{ sounded-there }
Planning-ChartedAt = charted depth { $depth }{ sounded-there }
Planning-SoundedBefore = sounded there before: { $least }{ $shoalest ->
    [none] {""}
   *[other] , the shoalest { $shoalest }
}; no chart gives the depth
Planning-Sounded = depth as sounded where she is now, not on the chart
Sounded-On = on { $day }, { $tide }
Sounded-Depth = { $depth } { $on }
Sounded-Own = own sounding { $what }
Sounded-InCircle = own soundings: { $squares ->
    [one] one square of 5 m
   *[other] { $squares } squares of 5 m
} in the circle, the shoalest { $shoalest }; they cover only where the boat has been
ReducedBy-Station = tide from { $name }
ReducedBy-Server = tide from the data server
ScopeWhy-AsAsked = as asked
ScopeWhy-Storm = { $wind } of wind is a storm
ScopeWhy-Strong = { $wind } of wind is strong
ScopeWhy-HoldingUnknown = the holding is not known
ScopeWhy-HoldingPoor = the holding is poor
ScopeWhy-ChainTooShort = the chain is too short, there is rope at the roller
ScopeWhy-HoldingGood = good holding, no strong wind
shoal-share = { $share ->
    [none] {""}
   *[other] {" "}over { $share } of her circle
}
Alert-ShoalingCharted = shoaling where she could swing{ shoal-share }: { $reasons ->
    [none] little more than the minimum is left under the keel
   *[other] { $reasons }
}; shorten the rode or move before low water{ on-chart }
Status-Chart = { $told }
Remark-Chart = { $room }

## Technical causes

LinkFault-NotConnectedYet = not connected to the server yet
LinkFault-NotAnswering = Signal K server not answering
LinkFault-NoConnection = no connection to the server; the log says why
LinkFault-ServerClosed = the server closed the connection
LinkFault-Status = the server answered the connection with status `{ $status }`
LinkFault-NoHello = the server did not greet us within 10 s; is it a Signal K server?
LinkFault-NoPong = the server did not answer a ping within 15 s
LinkFault-Silent = the server has sent nothing for 70 s
LinkFault-Reconnecting = reconnecting with new rights
-approve = approve `windrode` in the server's security settings, access requests, with `readwrite`
LinkFault-TokenRefused = the server refuses our token; remove the token and { -approve }
LinkFault-TokenUnreadable = the token file cannot be read, the log says why
LinkFault-CertificateChanged = the server's certificate is not the one we trust: it may be another boat's server; the log says what to do
LinkFault-TrustUnreadable = what windrode kept about the server's certificate cannot be read; the log says what to do
LinkFault-TokenExpired = our token for the server has expired; { -approve }
LinkFault-GivenTokenExpired = the token in the configuration has expired; enter a new one, or remove it and { -approve }
LinkFault-ServerNotFound = no Signal K server answers on this computer, and none was found on the network; start it, or enter its address as `server.url`
LinkFault-ServersUnknown = Signal K servers were found on the network, but windrode cannot tell which is this boat's: `windrode check` lists them; enter the right one as `server.url`
LinkFault-OtherServers = this boat's server was not found on the network, only others: `windrode check` lists them; if one of them is this boat's, enter it as `server.url`
LinkFault-ServerNotSecure = this boat's server was found without encryption, but was encrypted before: it may be another computer that pretends to be it; the log says what to do
LinkFault-ServerReticent = the server found at `{ $url }` does not say who it is to a client without a token; if it is this boat's, enter it as `server.url`
LinkFault-AccessDenied = access to the server was denied; to ask again, restart windrode and { -approve }
LinkFault-ReadOnly = the server lets us read only; give windrode the permission `readwrite` in the server's security settings, devices
LinkFault-Unknown = the server does not know us; { -approve }
LinkFault-NothingComesBack = what we send does not come back from the server; check that our token has the permission `readwrite` and that no other client publishes as `{ $label }`
LinkFault-AlarmsNotShown = the server does not show our alarms: `{ $path }`{ $count ->
    [0] {""}
   *[other] {" "}and { $count } more
} did not come back within 25 s; check that our token may write and read `notifications.*` on the server
LinkFault-Told = { $words }
JournalFault-DiskFull = disk full: the journal cannot be written; free some space
JournalFault-ReadOnly = the disk is read-only: the journal cannot be written; look at the memory card or disk
JournalFault-Damaged = the journal is damaged; the log says what to do
JournalFault-DiskSlow = the journal's disk does not answer; look at the memory card or disk
JournalFault-Unusable = the journal's folder cannot be used; the log says why
JournalFault-InUse = another windrode is running with this journal; stop one of them
JournalFault-Newer = a newer windrode wrote the journal; install that version again
JournalFault-NotWritten = the journal cannot be written; the log says why
JournalFault-Told = { $words }
LostWatch-JournalGone = the journal is gone
LostWatch-StateGone = the saved state is gone from the journal
LostWatch-Unreadable = the journal cannot be read
LostWatch-Told = { $words }
Link-Up = up
Link-NotConnectedYet = not connected yet
Link-Down = down: { $why }
Link-Impaired = impaired: { $why }
Answer-NotOnDisk = { $said }; this is NOT ON DISK yet and would be lost at a restart: { $why }

## The plan

Margin-Depth = depth
Margin-Tide = tide
Margin-Keel = keel
Margin-Roller = roller
Margin-Scope = scope
Margin-Rode = rode
Margin-Out = OUT
Margin-TotalRode = TOTAL RODE
Margin-Aboard = aboard
Margin-Reach = reach
Margin-Room = ROOM
Margin-Circle = circle
Margin-Wind = wind
Margin-Bottom = bottom
Margin-Lifts = lifts
Margin-Strength = strength
Margin-LookAt = Look at this
Margin-Assumed = Assumed
Margin-OnTheChart = On the chart
at-lowest = { $tide ->
    [yes] {" "}at the lowest water
   *[no] {""}
}
at-highest = { $tide ->
    [yes] {" "}at the highest water
   *[no] {""}
}
with-scopes = { $now ->
    [none] {""}
   *[other] { $highest ->
        [none] , { $now }
       *[other] , { $highest } at the highest water, { $now } now
    }
}
Plan-WaterNow = { $depth } of water now{ $below ->
    [transducer] {" "}({ $sounded } below the transducer)
    [keel] {" "}({ $sounded } below the keel)
    [datum] {" "}({ $sounded } on the chart)
   *[surface] {""}
}
Plan-Range = { $high } at the highest, { $low } at the lowest water{ $until ->
    [none] {""}
   *[other] {" "}until { $until } UTC
}
Plan-Tide = { $words }; { $cost }
Plan-Grounds = SHE GROUNDS{ at-lowest }, by { $by }
Plan-UnderKeel = { $left } under it{ at-lowest }
Plan-Roller = { $above } above the water, { $height } above the bottom{ at-highest }
Plan-Scope = { $scope }:1, { $why }
Plan-Rode = { $scope } × { $height } = { $rode }
Plan-Out = { $out }{ with-scopes }{ $more ->
    [none] , enough for { $scope }:1
   *[other] ; veer { $more } more, { $all } in all
}
Plan-TotalRode = { $rode }{ $all ->
    [yes] , all there is
   *[no] { $marks ->
        [none] {""}
       *[other] {" "}(marks each { $marks })
    }
}{ with-scopes }
Plan-Aboard = { $aboard }, { $enough ->
    [yes] enough
   *[no] NOT ENOUGH
}
Plan-NoReach = none: { $rode } of rode does not reach the bottom
Plan-Reach = { $reach } from the anchor to the bow roller at most, with { $rode } out
Plan-Room = { $widest } clear about the anchor on every side, and a margin
Plan-Circle = radius at the stern { $stern }, bow { $bow }{ $antenna ->
    [none] {""}
   *[other] , antenna { $antenna }
}{ $water ->
    [lowest] {" "}at the lowest water
    [highest] {" "}at the highest
   *[any] {""}
}{ $wind ->
    [none] {""}
   *[other] {" "}in { $wind }
}
Plan-Wind = { $wind } of wind pulls steadily with { $pull }; ABYC H-40 designs for { $load }, which includes gusts and surge
Plan-Bottom = { $lead ->
    [none] { $lies } lie on the bottom
   *[other] nothing lies on the bottom, the anchor is lifted by { $lead }°
} { $steady ->
    [yes] in the steady pull{ at-highest }
   *[no] under the load of H-40
}
Plan-Lifts = { $chain ->
    [yes] the chain lifts
   *[no] the rode lifts
} clear of the bottom at { $wind } of steady wind, at { $design } with gusts and surge (ABYC H-40)
Plan-Strength = { $part }: working load { $load }, which H-40 reaches at { $wind }
Plan-NoCircle = the rode does not reach the bottom: there is no circle
Plan-Notice = No figure here says that the anchor holds: dig it in, see that it holds, keep an anchor watch. An aid, not a substitute for the skipper's judgement, a proper lookout and local rules. Not for navigation.
Part-Chain = chain { $of }
Part-Rope = rope { $of }
Part-Snubber = snubber { $of }
TideCost-NotKnown = not known{ $datum ->
    [yes] ; the chart's figure is taken as it is, and for most of the tide there is more water than that
   *[no] {""}
}
TideCost-Server = the server gives only the next high and low water, a later one may be higher or lower; weather moves the level by decimetres
TideCost-Prediction = a prediction leaves out the weather: wind and pressure move the level by decimetres
TideCost-Typed = it is as good as the figure given; wind and pressure move the level by decimetres
TideCost-None = { $more } of rise leaves a scope of { $scope }; { $more } of fall takes { $more } from under the keel
Assumed-Sounder = depth: as the boat's sounder shows it now, where she is now
Assumed-WindNow = wind: { $wind }, as it blows now; look at the forecast and give its wind as `--wind`
Assumed-Bottom = bottom: flat and level from here to the anchor, as deep there as sounded here
Assumed-Tide = tide: not entered, assuming the depth stays as it is now
Assumed-Roller = roller: not entered, assuming { $height } above the water
Assumed-Length = boat: length not entered, assuming { $length } over all
Assumed-Usual = { $what ->
    [beam] beam
    [freeboard] freeboard
   *[masthead] masthead
} { $value }
Assumed-Windage = windage: { $usual } as is usual for her length
Assumed-Aboard = rode: length aboard not entered
Assumed-Marks = rode: marks not entered, nothing rounded up
Assumed-Material = rode: material not entered, so lifting of the anchor not checked
Assumed-Grade = chain: grade not entered, assuming the weakest of its size, G{ $grade }
Assumed-Weight = chain: its weight is calculated from its size, { $mass } kg/m
Assumed-NewRope = rope: new, dry, unknotted; nylon stretches by a tenth at 15 % of its breaking load, polyester by 3 %
Assumed-Stretch = rode: stretches by { $percent } % when drawn straight
Assumed-NoWind = wind: not entered, its pull not checked
Assumed-Pull = pull of the wind: good to a factor of 1.5 (steady) and of 2 (H-40, with gusts, sheering and surge); current is not counted
Caution-Stretches = rode: it stretches farther than `tackle.stretch` allows for: to { $wind } in the wind expected, against { $low }; about { $stretch } would do
Caution-NotEnough = not enough rode: { $needed } needed, { $aboard } aboard; it would give { $scope }; find shallower water
bottom-to-roller = { $height } from the bottom to the roller
Caution-AboardShort = the rode aboard does not reach the bottom: { $aboard } of it, { bottom-to-roller }
Caution-ScopeShort = scope: { $out } out are { $scope } at the highest water; { $more ->
    [none] { $wanted } needed
   *[other] { $more } more make { $wanted }
}
Caution-OutShort = the rode that is out does not reach the bottom: { $out } of it, { bottom-to-roller }
Caution-ScopeSmall = scope: { $scope } is less than { $least }:1, which gives up a good part of the holding
Caution-HoldingPoor = holding: poor, and more scope does not help; find another place
Caution-Grounds = keel: she grounds at the lowest water, by { $by }
Caution-KeelMargin = keel: { $left } under it at the lowest water, minimum { $margin }
Caution-NoDraught = keel: draught not entered, depth under the keel not checked
Caution-NoTide = tide: not known; { $cost }
Caution-Lifts = anchor: { $surely ->
    [yes] {""}
   *[no] with gusts and surge{" "}
}{ $chain ->
    [yes] the chain
   *[no] the rode
} lifts clear of the bottom in the wind expected, and the anchor is lifted
Caution-Lead = anchor: lifted by { $lead }° { $steady ->
    [yes] by the steady pull
   *[no] in gusts and surge
}; beyond { $most }° it is assumed to lose hold; veer more if there is room
Caution-Load = { $part }: its working load is { $working }, H-40 designs for { $design } in this wind
Caution-LightAnchor = anchor: { $anchor } is lighter than the { $wanted } that the small craft code's table 20.1 has for her length and an anchor of ordinary holding power
BerthTold-At = berth at { $position }: { $depth }{ $own ->
    [none] {""}
   *[other] ; { $own }
}{ $short ->
    [none] {""}
   *[other] ; this rode is for the { $short ->
        [sounding] shoalest sounding
       *[bound] shoal bound
    } and may be TOO SHORT, sound the berth before letting go
}
BerthTold-NoChart = no chart gives the depth there
to-most = { $most ->
    [none] or more
   *[other] to { $most }
}
BerthTold-Charted = charted depth { $least } { to-most } (`{ $cell }`)
BerthTold-Sounded = depth { $least } { to-most }, no chart gives it
BerthTold-NoDraught = draught not entered: what is left under the keel is not checked; give it as `--draught`

## Room to swing, and the search for a berth

ChartMargin-Least = least
ChartMargin-Needed = needed
ChartMargin-Danger = danger
ChartMargin-Unknown = unknown
ChartMargin-Share = share
ChartMargin-Rules = rules
ChartMargin-Foul = foul
ChartMargin-Survey = survey
ChartMargin-Chart = chart
Swing-About = { $radius } about { $centre }{ $from ->
    [none] {""}
   *[other] , between { $from } and { $to }
}
Swing-Clear = clear: nothing on the chart is against it
Swing-NotClear = NOT CLEAR
Swing-NoDepth = no depth on the chart
Swing-Keel = { $short ->
    [none] { $left } under the keel
   *[other] { $short } too little for the keel
} at low water{ $error ->
    [none] {""}
   *[other] ; the chart may be wrong by { $error }
}
Swing-Needed = { $needed } on the chart: draught { $draught }, margin { $margin }, lowest tide { $tide }
Swing-Nearest = the nearest: { $danger }
Swing-NoDanger = none within { $within }
Swing-Part = { $share } { $what ->
    [tooShoal] too shoal or dangerous
    [notCovered] on no chart
   *[withoutDepth] without a depth on the chart
}
Swing-Survey = survey { $quality }
Swing-Surveyed = { $quality }{ $end ->
    [none] {""}
   *[other] ; surveyed until { $end }
}
Swing-Notice = An aid, not for navigation: look at the official chart, and sound the berth.
SurveyQuality-NotAssessed = quality U: not assessed
SurveyQuality-Figures = quality { $zone }: depths ±{ $depth } m + { $percent } %, positions ±{ $position } m{ $more ->
    [yes] {" "}+ 5 % of the depth
   *[no] {""}
}
SurveyQuality-Poor = quality { $zone }: worse than C, depths and positions may be far off
ChartCaution-NoTide = tide not entered: the lowest water is taken as chart datum; it can fall below that
ChartCaution-NoChart = there is no chart of this place; add one with: windrode chart add PATH
ChartCaution-TideOf = tide: by { $station ->
    [none] the configured station
   *[other] `{ $station }`
} until { $until }
ChartCaution-DatumsDiffer = the cells measure depths from different levels; compare each with its own datum
ChartCaution-NoDatum = datum: the cell does not state what its depths are measured from
ChartCaution-Coverage = coverage: `{ $name }` does not state where it ends; where it gives depth or land counts as covered
ChartCaution-NoScale = scale: `{ $name }` does not state it; how exactly it is drawn is not known
ChartCaution-Scale = scale: half a millimetre on `{ $name }` is { $by } on the water
ChartCaution-NoSurvey = survey quality: not stated
SearchColumn-Place = place
SearchColumn-Bears = bears
SearchColumn-Off = off
SearchColumn-Depth = depth
SearchColumn-Rode = rode
SearchColumn-Circle = circle
SearchColumn-Spare = to spare
Search-Heading = berths within { $within } of { $centre }: { $places } places looked at, { $spacing } apart
Search-Fetch = fetch in nautical miles, wind from: { $list }
Search-Wind = { $from ->
    [NE] NE
    [E] E
    [SE] SE
    [S] S
    [SW] SW
    [W] W
    [NW] NW
   *[N] N
}
Search-FetchFrom = { $wind } { $miles }
Search-Chart = chart: { $cell }
Search-Rejected = places that do not count: { $list }
Search-Count = { $against }: { $places }
FetchMiles-Near = { $miles }
FetchMiles-Land = { $miles }
FetchMiles-Chart = more than { $miles } (chart ends)
FetchMiles-Limit = more than { $miles }
SearchAgainst-Land = land in reach
SearchAgainst-Shoal = too shoal at low water
SearchAgainst-UnknownDanger = a danger of unknown depth in reach
SearchAgainst-NoChart = not all on a chart
SearchAgainst-NoDepth = no depth on the chart
SearchAgainst-Cable = over a cable
SearchAgainst-Pipe = over a pipe
SearchAgainst-Restricted = anchoring prohibited or restricted
SearchAgainst-Foul = foul ground, wreck or obstruction in reach
SearchAgainst-RodeShort = the rode aboard is too short for the depth
SearchAgainst-CircleTooWide = the circle is too wide
SearchAgainst-Neighbour = in another vessel's circle
SearchAgainst-NoPlan = no plan can be made
SearchReason-LeastDepth = least depth in the circle { $depth } on the chart, { $keel } under the keel at low water
SearchReason-ChartWrong = the chart's depths may be wrong by { $by }, more than is left under the keel
SearchReason-Danger = { $room } from the circle to the nearest danger: { $danger }
SearchReason-NoDanger = no danger within { $within } of the circle
SearchReason-Neighbour = { $room } from the circle to { $name ->
    [none] the nearest vessel's
   *[other] that of { $name }, the nearest vessel's
}, bearing { $bearing }, each at the near edge of its circle
SearchReason-OpenWater = a nautical mile or more of open water: { $winds }
SearchReason-SoundingAway = the depth is taken from a sounding { $distance } away; sound the berth
SearchReason-NoSounding = no sounding near; the depth is that of the depth area, sound the berth
SearchCaution-NoNeighbours = no neighbours known: look around
SearchCaution-NoAis = vessels without AIS are not known: look around
SearchCaution-NotJudged = holding and shelter: not judged; a fetch is the distance to the land on the chart
SearchCaution-NoneFound = no berth found here; look elsewhere, or widen the search with `--within`
SearchCaution-NoTide = tide not entered: the lowest and the highest water are taken as chart datum; give `--tide`, `--low-water` and `--high-water`, or `--station`
SearchCaution-NoAboard = rode aboard not entered: it is not checked whether it is long enough; give `--aboard`
SearchCaution-AisNotHeard = no AIS is heard
SearchCaution-NotFromHere = vessels are heard, but not where they lie from here: their circles do not count
SearchCaution-UnderWay = { $count } of the vessels heard are under way, or were not heard long enough: they do not count
SearchCaution-NoDaemon = the daemon does not answer, so no AIS is heard: give circles with `--neighbour`

## The tide

Unit-Miles = { $miles } nm
TurnName-High = high
TurnName-Low = low
TidePage-At = at { $position }{ $distance ->
    [none] {""}
   *[other] , { $distance } at { $bearing } from the place asked for
}
TidePage-Secondary = a secondary station: differences to { $name } ({ $id })
TidePage-Above = heights above { $datum } ({ $short }); times { $zone }
TidePage-NoTurns = no high or low water in this time: the tide is too small, or the time too short
TidePage-Heights = heights
TidePage-Nearest = nearest stations
TidePage-Now = now { $clock }: { $height }, { $rising ->
    [yes] rising; high water
   *[no] falling; low water
} { $next }, in { $wait }; range { $range }
TidePage-Constants = Constants: { $credit }.
TideZone-Utc = in UTC
TideZone-BoatsUtc = in UTC, the boat's zone
TideZone-Boats = in the boat's zone{ $zone ->
    [none] {""}
   *[other] {" "}{ $zone }
} ({ $offset } on the first day)
TideDatum-Mllw = { Datum-12 }
TideDatum-Lat = { Datum-23 }
TideDatum-Mlws = { Datum-1 }
TideDatum-Llwlt = { Datum-27 }
TideDatum-Nllw = { Datum-11 }
TideDatum-Tlt = tropic lower low water
TideDatum-Msl = { Datum-3 }, which is not a chart datum
TideDatum-Chart = chart datum
TideDatum-Own = a datum of its own
TideCaution-Far = the station is { $away } away: at the place asked for the tide may have other times and another height
TideCaution-Disagrees = { $name } ({ $id }), { $away } away, has another tide: { $by } { $earlier ->
    [yes] earlier
   *[no] later
}, { $ratio } times the range; land, a bar or narrows may lie between, so take the station on your side of it
TideCaution-MeanSeaLevel = heights are above mean sea level: do not add them to a chart's soundings
TideCaution-NoWeather = calculated from moon and sun alone: wind, air pressure, rain and ice move the level as well, in a gale by a metre and more
TideCaution-Margin = chart datum and the bottom change; keep a margin, sound the depth yourself, and heed the official tables and warnings
TideCaution-Aid = an aid, not a substitute for a proper lookout and anchor watch, the skipper's judgement and local rules; not for navigation
Calendar-Day = { $weekday } { $day } { $month } { $year }
Weekday-1 = Mon
Weekday-2 = Tue
Weekday-3 = Wed
Weekday-4 = Thu
Weekday-5 = Fri
Weekday-6 = Sat
Weekday-7 = Sun
Month-1 = Jan
Month-2 = Feb
Month-3 = Mar
Month-4 = Apr
Month-5 = May
Month-6 = Jun
Month-7 = Jul
Month-8 = Aug
Month-9 = Sep
Month-10 = Oct
Month-11 = Nov
Month-12 = Dec

## Charts kept aboard

ChartsKept-Added = added { $cell }; { $megabytes } MB on disk
ChartsKept-SomeAdded = { $added } of { $all } cells were added
ChartsKept-Removed = `{ $name }` is removed
ChartsKept-None = no charts; add one with: windrode chart add PATH
ChartsKept-Forgotten = { $count ->
    [0] there were no soundings to remove
    [one] 1 sounding was removed
   *[other] { $count } soundings were removed
}
ChartsKept-Reading = { $done } of { $all } cells, { $left } to go

## The check

Looked-Position = position
Looked-Heading = heading
Looked-Wind = wind
Looked-Depth = depth
Looked-Speed = speed over ground
Looked-Method = method of the fix
Looked-Revolutions = revolutions
Looked-Ais = AIS
Looked-Length = length
Looked-Antenna = antenna from bow
Looked-Roller = roller height
Looked-Transducer = transducer or draught
Looked-Rode = rode aboard
Without-Position = without it there is no anchor watch
Without-Heading = the position of the bow is not known, so a drag is found later; the margin is wider by the antenna's distance from the bow
Without-Wind = no alert for wind shift or strong wind, no head-to-wind course
Without-Depth = no alert for shoaling, no scope; the reach is taken as the whole rode
Without-Speed = a frozen position is found later
Without-Method = dead reckoning cannot be told from a real fix
Without-Revolutions = normal while the engine is off; if the server never has them, start and end the pull test yourself
Without-Ais = normal where no other vessel is near
Without-Assumed = assuming { $length }; set `{ $key }`
Without-Antenna = adds half a boat length of error; set `boat.antenna_from_bow`
Without-Transducer = the depth of water may be unknown; set `boat.transducer_depth`
CheckMargin-Fails = fails
CheckMargin-Limits = limit
CheckMargin-Note = note
CheckMargin-Works = works
things = { $count ->
    [one] 1 thing
   *[other] { $count } things
}
Check-Ready = READY: everything the watch needs works
Check-ReadyWithLimits = READY, with limits: { things } below
Check-NotReady = NOT READY: { things } the watch cannot do without
Check-Server = server ({ $greeting }, `{ $address }`)
Check-OnNetwork = found on the network: { $offer }
Check-Greeting = { $name } { $version }, own vessel `{ $own }`
Check-NoGreeting = no greeting
Check-MayWrite = right to write
Check-MayNotWrite = right to write: { $why }; until then no display shows an alarm
Check-TokenUnread = asked without the daemon's token: { $why }; try `sudo -u windrode windrode check`
Check-NoUsableValue = { $what } sends no usable value: { $cost }
Check-LastValueOnly = { $what } sent nothing in { $listened }, the server has its last value only: { $cost }
Check-NotHeard = { $what } not heard in { $listened }: { $cost }
Check-Missing = { $what } missing, nothing in { $listened }: { $cost }
Check-NotEntered = { $what } not entered: { $cost }
Check-SeveralReceivers = several receivers give a position: { $sources }; name the better one as `fix.source`
Check-NoPhones = phones: no channel is configured, so an alarm is heard at a display only
Check-PhoneWorks = phone `{ $channel }`
Check-PhoneFails = phone `{ $channel }` fails: { $why ->
    [none] no reason given
   *[other] { $why }
}
Check-PhoneUntried = phone `{ $channel }` not tried: `windrode check --push { $channel }` sends a test
Check-Daemon = daemon
Check-NoDaemon = no daemon answers here: nobody is watching yet
Check-More = `windrode check --verbose` shows the configuration too
Check-CannotWork = the watch cannot work like this
Check-NoServer = the server `{ $url }`: { $why }; is the data server running?
reason = { $why ->
    [none] {""}
   *[other] : { $why }
}
Check-Sent = `{ $channel }` has taken a test; see whether it has reached the phone, and woken you
Check-NotNow = `{ $channel }` does not take it now{ reason }
Check-Refuses = `{ $channel }` refuses it{ reason }
Right-Open = the server is open to everybody
Right-Granted = the server grants us `{ $level }`
Right-Refused = the server refuses our token (`{ $words }`); remove the token and { -approve }
Right-NotKnown = our rights on the server are not known: { $why }
-renew = have a new one made in the server's security settings, devices, before the next night at anchor
TokenEnd-Ended = the token for the server expired at { $at }; { -renew }
TokenEnd-Ends = the token for the server expires at { $at }; { -renew }

## The questions of the setup

Ask-Language = The language of all that the crew reads or hears: `en` English, `de` Deutsch, `fr` français, `es` español.
Ask-Server = Scheme, host and port of the server.
Ask-Name = The boat's name in messages to phones.
Ask-Length = Length over all.
Ask-Draught = Greatest draught, from the surface to the lowest point of the keel.
Ask-Roller = Height of the bow roller above the water.
Ask-Antenna = Distance of the positioning antenna aft of the stem.
Ask-Rode = All the rode aboard, chain and rope together.
Ask-Chain = The chain at the anchor, by size and grade.
Ask-Topic = A topic on a push server that the phone listens to. Anyone who knows it can read it.
Setup-Enter = Enter keeps what is in brackets. Lengths have a unit: `1.9 m`, `6.2 ft`.
Setup-AnswersGo = The answers go into `{ $file }`, where they can be changed.
Setup-Question = { $ask } [{ $now }]:
Setup-FromServer = { $value }, from the server
Setup-NoneYet = none, such as { $example }
Setup-Unchanged = `{ $file }` stays as it is
Setup-Written = written: `{ $file }`
Setup-Sending = sending a test alarm to the phone
Setup-AtNextStart = it takes effect at the next start of the daemon
Setup-Restarted = windrode was started with it
Setup-NotRestarted = windrode was NOT started, nobody watches now: see `journalctl -u windrode`, then `sudo systemctl restart windrode`

## The form of an order

PutTold-Context = `{ $context }` is another vessel's context; commands are taken for `vessels.self` only
PutTold-Entries = a request carries `{ $count }` readable entries of `put`; write one `path` with its `value`
PutTold-Unknown = `{ $path }` is not a command; the commands are { $known }
PutTold-ReadOnly = `{ $path }` is calculated by windrode and cannot be set; the commands are { $known }
PutTold-Value = `{ $command }` was given `{ $value }`; write { $form }
PutTold-Member = `{ $command }` has no member `{ $key }`; its members are { $known }
PutTold-Kind = `letGo.kind` was given `{ $value }`; write one of { $known }
PutTold-Hazard = `{ $command }` was given `{ $value }`; write `true` for all or a hazard: { $known }
PutTold-IdTooLong = `requestId` is too long; write a UUID
PutTold-TooMany = too many commands are waiting for an answer; try again in a minute
PutForm-True = `true`
PutForm-BeginOrEnd = `true` to begin or `false` to end
PutForm-YesOrNo = `true` or `false`
PutForm-LetGo = `true`, or an object with any of `rode`, `position`, `depth`, `kind`, `radius`, `fromTrack`, `reanchored`
PutForm-Metres = metres, more than 0 and less than 1000
PutForm-MetresOrNull = metres, more than 0 and less than 1000, or `null`
PutForm-Place = an object with `latitude` and `longitude` in degrees
PutForm-BerthOrNull = an object with `latitude` and `longitude` in degrees and maybe `scope`, `rode`, `wind`, `stay`, or `null`
PutForm-Snubber = `true`, an object with any of `at` and `length` in metres, or `false` when it is off
PutForm-Scope = a plain number from 1.5 to 20
PutForm-Wind = metres a second, more than 0 and at most 50
PutForm-Stay = seconds, more than 0 and at most 2592000, which is 30 days
Refused-Because = refused: { $why }
Refused-NoReason = no reason given
