# Deutsch. Aus dem Gedächtnis der Fachsprache (IMO SMCP, BSH, DWD); ein Muttersprachler soll es lesen.

## Einheiten

Unit-NauticalMiles = { $miles } Seemeilen

Aloud-Figures = null eins zwei drei vier fünf sechs sieben acht neun
Aloud-Degrees = { $degrees } Grad
Aloud-Scope = { $scope } zu eins
Aloud-Metres = { $count ->
   *[other] Meter
}
Aloud-Feet = { $count ->
   *[other] Fuß
}
Aloud-Knots = { $count ->
   *[other] Knoten
}
Aloud-Seconds = { $count ->
    [one] Sekunde
   *[other] Sekunden
}
Aloud-Minutes = { $count ->
    [one] Minute
   *[other] Minuten
}
Aloud-Hours = { $count ->
    [one] Stunde
   *[other] Stunden
}
Aloud-Days = { $count ->
    [one] Tag
   *[other] Tage
}
Aloud-PerCent = Prozent
Aloud-Volts = { $count ->
   *[other] Volt
}

## Namen

Hazard-dragging = Anker slippt
Hazard-swingExceeded = außerhalb des Schwojkreises
Hazard-windShift = Winddrehung
Hazard-windStrength = Starkwind
Hazard-shoaling = zu flach
Hazard-scopeShort = zu wenig Kette
Hazard-position = keine Position
Hazard-dataLink = kein Datenserver
Hazard-watch = die Wache selbst
Hazard-instrument = Instrument fehlt
Hazard-neighbour = Schiff zu nah
Short-dragging = Anker slippt
Short-swingExceeded = außer Kreis
Short-windShift = Winddrehung
Short-windStrength = Starkwind
Short-shoaling = zu flach
Short-scopeShort = zu wenig Kette
Short-position = keine Position
Short-dataLink = Datenserver
Short-watch = Wache gestört
Short-instrument = Instrument fehlt
Short-neighbour = Schiff nah
Cleared-dragging = slippt nicht mehr
Cleared-swingExceeded = wieder im Kreis
Cleared-windShift = Winddrehung vorbei
Cleared-windStrength = Wind lässt nach
Cleared-shoaling = wieder tief genug
Cleared-scopeShort = wieder genug Kette
Cleared-position = Position wieder da
Cleared-dataLink = Datenserver wieder da
Cleared-watch = der Alarm zur Wache ist vorbei
Cleared-instrument = Instrumente wieder da
Cleared-neighbour = kein Schiff mehr zu nah
Priority-caution = Hinweis
Priority-warning = Warnung
Priority-alarm = Alarm
Priority-emergencyAlarm = Notfall

## Alarme

-lookout = Slippen nicht erkennbar, Ausguck halten
under-way = { $under_way ->
    [yes] ; in Fahrt? Anker lichten beendet die Wache
   *[no] {""}
}
at-unseen = { $unseen ->
    [none] {""}
   *[other] {" "}(Stand { $unseen })
}
Alert-Dragging = { $kind ->
    [mooring] Boje
   *[other] Anker
} slippt: { $moved } oder mehr{ $reach ->
    [none] {" "}vom letzten Halt
   *[other] {""}
}{ at-unseen }; Marke peilt { $bearing }, Abstand { $distance }{ $antenna ->
    [yes] {" "}von der GPS-Antenne
   *[no] {""}
}{ $reach ->
    [none] {""}
   *[other] , die Kette reicht { $reach }
}; hinausschauen, Motor starten{ under-way }
Alert-OutsideCircle = außerhalb des Schwojkreises: { $radius } vom Anker{ at-unseen }, Kreis { $limit }; auf Untiefen und Nachbarn achten{ under-way }
Alert-OutsideLastCircle = außerhalb des Schwojkreises: { $radius } von der Marke{ at-unseen }, weitester Kreis um sie { $limit }; auf Untiefen und Nachbarn achten{ under-way }
now-from = { $from ->
    [none] {""}
   *[other] , jetzt aus { $from }
}
-wind-shift = Winddrehung
-check-shelter = Schutz, Schwojraum und Lage prüfen
Turned-Veered = { $turn } rechtgedreht
Turned-Backed = { $turn } rückgedreht
Alert-WindShift = { -wind-shift }: { $set }, seit der Anker hält{ now-from }; { -check-shelter }
Alert-WindShiftAgain = { -wind-shift }: { $seen } seit der Bestätigung, { $set }, seit der Anker hält{ now-from }; { -check-shelter }
-check-chafe = Kette und Leine auf Schamfilen prüfen, mehr stecken, wenn Platz ist, Motor klarmachen
Alert-StrongWind = Starkwind: Mittel { $mean }{ $gust ->
    [none] {""}
   *[other] , Böen bis { $gust }
}; { -check-chafe }
Alert-StrongGusts = Starkwind: Böen bis { $gust }, Mittel { $mean }; { -check-chafe }
last-sounded = { $sounded ->
    [none] {""}
   *[other] {" "}bei der letzten Lotung um { $sounded }, seitdem hat das Lot keinen Grund
}
-deeper = Lot und Tide prüfen, in tieferes Wasser gehen
Alert-NoWater = zu flach: kein Wasser unter dem Kiel{ last-sounded } ({ $short } fehlen); { -deeper }
Alert-Shoaling = zu flach: { $depth } unter dem Kiel{ last-sounded }, Minimum { $least }; { -deeper }
Alert-ShoalingAtLowWater = zu flach: { $depth } unter dem Kiel bei Niedrigwasser, wo das Schiff geschwojt hat, Minimum { $least }; Gezeitentafel prüfen
Alert-ScopeShort = zu wenig Kette: { $scope }:1 { $when }, nötig { $wanted }:1; mehr stecken, wenn Platz ist
When-Now = jetzt
When-AtHighWater = beim nächsten Hochwasser
When-InThisWind = bei diesem Wind
When-InTheLastWind = bei dem starken Wind, der zuletzt gemeldet wurde
Alert-NoPosition = keine brauchbare Position seit { $since }: { $why }{ $anchored ->
    [yes] ; { -lookout }
   *[no] {""}
}
Alert-PositionInDoubt = Position zweifelhaft seit { $since }: { $why }; beides ist zweifelhaft, Ausguck halten
Alert-PositionJumped = Position um { $by } gesprungen, schneller als ein Boot; höchstens { $held } lang wird Slippen ohne den Sprung beurteilt
Alert-PositionJumps = Position zweifelhaft: { $count } Sprünge in { $within }; Slippen wird vielleicht spät oder falsch gemeldet, Ausguck halten
Alert-ServerLost = Signal-K-Server ausgefallen seit { $since }: { $why }; { -lookout }
Alert-ServerSilent = Signal-K-Server stumm seit { $since }; { -lookout }
Alert-DisplaysBlind = Anzeigen zeigen vielleicht nichts: { $why }
Alert-InstrumentLost = { $what }: { $costs }; Instrumente prüfen

## Warum es keine Position gibt

NoFix-NoData = keine Daten vom GPS
NoFix-NoServer = kein Datenserver: { $why }
NoFix-Old = die letzte ist { $age } alt
NoFix-Empty = der Empfänger sendet keine
NoFix-NullIsland = der Empfänger sendet 0° N 0° E
NoFix-Method = { $method ->
    [noFix] der Empfänger meldet keine Ortung
    [deadReckoning] der Empfänger koppelt nur noch
    [manual] die Position ist von Hand eingegeben
    [simulator] der Empfänger läuft im Simulator
    [error] der Empfänger meldet einen Fehler
   *[satellite] der Empfänger ist zweifelhaft
}
NoFix-Unsaid = der Empfänger meldet nicht, ob er eine Ortung hat
NoFix-Unsafe = der Empfänger nennt seine Ortung unsicher
NoFix-Frozen = die Koordinaten sind eingefroren
NoFix-Jump = sie ist um { $by } gesprungen
NoFix-Disagrees = Orte und Fahrt über Grund weichen in einer halben Minute um { $by } ab
NoFix-Wanders = schlechte Sicht zum Himmel, sie wandert { $by } in zehn Sekunden

## Instrumente

Instrument-wind = Windmesser
Instrument-windDirection = Windfahne
Instrument-sounder = Echolot
Instrument-heading = Kurssensor
Instrument-speed = Fahrt über Grund
Instrument-revolutions = Motordrehzahl
Instrument-ais = AIS
Cost-wind = Winddrehung und Windstärke werden nicht überwacht
Cost-windDirection = Winddrehung wird nicht überwacht
Cost-sounder = Tiefe, Kiel und Kettenlänge werden nicht überwacht
Cost-heading = Lage des Bugs unsicherer, Slippen wird später erkannt
Cost-speed = ein GPS-Sprung ist schwerer von Slippen zu unterscheiden
Cost-revolutions = der Einfahrtest sieht die Last nicht
Cost-ais = andere Fahrzeuge werden nicht gesehen
Loss-Flickers = { $instrument } setzt seit { $time } immer wieder aus
Loss-NotHeard = { $instrument } seit dem Neustart vor { $time } nicht gehört
Loss-Silent = { $instrument } seit { $time } stumm
Loss-NoBottom = { $instrument } seit { $time } ohne Grund
Loss-NoValue = { $instrument } seit { $time } ohne Wert
Loss-Impossible = { $instrument } seit { $time } mit unmöglichen Werten
Loss-Frozen = { $instrument } eingefroren, wiederholt einen Wert

## Die Wache selbst

Health-Changed = die Wache wurde geändert: { $changes }
Health-Impaired = die Wache ist gestört: { $causes }
Health-Stopped = windrode wurde angehalten: der Anker wird nicht überwacht
Health-MayBeLost = eine Wache ging vielleicht verloren: { $why }; liegt das Schiff vor Anker, dessen Position eingeben (`windrode let-go --position`), sonst bestätigen
Health-NoPhone = kein Weg zu einem Telefon funktioniert ({ $channels }): an Land wird niemand alarmiert; Internet an Bord prüfen
Health-BatteryLow = Bordbatterie schwach: { $volts }, Minimum { $least }; laden, sonst enden Wache und Alarme
Health-ClockSet = die Uhr dieses Rechners wurde vor { $ago } um { $by } { $back ->
    [yes] zurückgestellt
   *[no] vorgestellt
}; frühere Zeiten sind um so viel falsch, Tide neu prüfen
Health-TokenEnds = unser Token für den Server { $over ->
    [yes] ist am { $day } abgelaufen
   *[no] läuft am { $day } ab
}: ohne es zeigt keine Anzeige einen Alarm; windrode in den Sicherheitseinstellungen des Servers aus den Geräten entfernen und seine neue Anfrage zulassen, oder ein neues Token eintragen
Health-FoundServer = mit dem im Netz gefundenen Server von `{ $name }` unter `{ $url }` verbunden: ist das nicht Ihr Boot, die Adresse Ihres Servers als `server.url` eintragen und windrode neu starten
Health-Unmarked = kein Anker markiert: das Schiff liegt seit { $lain } still auf { $depth } Wasser und wird nicht überwacht; `letGo` beginnt die Wache{ $from_track ->
    [none] {""}
   *[other] , `fromTrack` markiert ihn, wo er zu liegen scheint, { $from_track } entfernt
}
Health-WeighedAndHere = der Anker wurde vor { $gone } gelichtet, das Schiff ist noch am selben Ort; liegt er am Grund, neu fallen lassen: es wird nicht überwacht
Health-WeighedAndDrifted = der Anker wurde vor { $gone } gelichtet, der Motor lief nicht, das Schiff ist { $moved } getrieben; soll es vor Anker liegen, hinausschauen und neu fallen lassen
by = { $by ->
    [terminal] am Terminal
    [server] über den Datenserver
    [phone] per Telefon
   *[display] an einer Anzeige
}
-if-not = war es niemand von der Crew,
Changed-Ended = die Wache wurde { by } beendet, die Marke lag auf { $mark }; { -if-not } mit dieser `position` neu fallen lassen
Changed-SecondMarked = der zweite Anker wurde { by } neu markiert, { $moved } von der alten Marke
Changed-Marked = der Anker wurde { by } neu markiert, { $moved } von der alten Marke; { -if-not } zurück auf { $mark } setzen
Changed-MarkMoved = die Marke wurde { by } um { $moved } verschoben; { -if-not } zurück auf { $mark } setzen
Changed-CircleWidened = der Schwojkreis wurde { by } erweitert, von { $old } auf { $new }; { -if-not } zurücksetzen
Changed-RodeSet = die Kettenlänge wurde { by } auf { $rode } gesetzt, Slippen wird spät erkannt; { -if-not } zurücksetzen

## Antworten auf Befehle

more-than-aboard = { $aboard ->
    [none] {""}
   *[other] , mehr als die { $aboard } an Bord (`tackle.rode_aboard`)
}
Rode-NotEntered = , Kettenlänge nicht eingegeben: bis `rodeOut` kommt, gelten alle { $longest } als gesteckt
Rode-ToVeer = , { $rode } Kette zu stecken{ more-than-aboard }
in-water = { $depth ->
    [none] , Tiefe nicht bekannt
   *[other] , auf { $depth } Wasser
}
with-circle = { $circle ->
    [none] {""}
   *[other] , Schwojkreis { $circle } bis Schiffsmitte
}
Answer-LetGo = Anker gefallen auf { $position }{ $berth ->
    [none] {""}
   *[other] , { $berth } vom Ankerplatz
}{ $rode }{ in-water }{ with-circle }{ $remarks }
Answer-MadeFast = { $kind ->
    [shoreLine] an Land festgemacht, Schiffsmitte auf
    [sternTo] mit dem Heck festgemacht, Schiffsmitte auf
   *[mooring] an der Boje auf
} { $position }{ with-circle }{ in-water }{ $remarks }; { $not_judged }
Answer-SecondLetGo = zweiter Anker gefallen auf { $position }, { $apart } vom ersten{ $rode }{ $remarks }; { $not_judged }
Besides-Estimated = , aus { $lain } Spur geschätzt, auf { $doubt } genau (95 %), { $radius } von der Bugrolle
Besides-LainAt = ; das Schiff liegt hier seit { $lain }: fiel der Anker früher, liegt er etwa auf { $position }; mit `fromTrack` neu fallen lassen markiert ihn dort
Besides-Lain = ; das Schiff liegt hier seit { $lain }: fiel der Anker früher, liegt er nicht unter dem Bug: seine `position` eingeben
Besides-OldFix = ; die Position ist { $age } alt, die Marke kann also um { $doubt } danebenliegen (95 %){ $second ->
    [yes] {""}
   *[no] {":"} mit `mark` berichtigen, wenn der Ort genauer bekannt ist
}
Besides-BowNotKnown = ; { $heading ->
    [yes] `boat.antenna_from_bow` ist nicht gesetzt
   *[no] kein Steuerkurs wird empfangen
}, also ist das der Ort der GPS-Antenne, der Anker kann { $doubt } davon liegen
Answer-Veered = { $rode } Kette gesteckt{ more-than-aboard }, { $scope ->
    [none] Verhältnis ohne Tiefe nicht bekannt
   *[other] Verhältnis { $scope }:1
}
Answer-Weighed = Anker gelichtet nach { $lay }; die Wache ist beendet
Answer-NoBerth = kein Ankerplatz geplant
Answer-Berth = Ankerplatz geplant auf { $position }
Answer-BerthFromHere = Ankerplatz geplant auf { $position }, peilt { $bearing }, Abstand { $distance }
Answer-MarkAlready = die Marke liegt schon auf { $position }
Answer-MarkCorrected = Marke um { $by } berichtigt auf { $position }
Answer-Circle = Schwojkreis { $radius } bis Schiffsmitte{ $outside ->
    [none] {""}
   *[other] , und das Schiff ist jetzt außerhalb, { $outside } von der Marke
}
Answer-CircleAsGiven = Schwojkreis wieder wie bei `letGo` angegeben
Answer-CircleFromRode = Schwojkreis wieder aus der Kettenlänge berechnet
how-many = { $count ->
    [one] ein Alarm
   *[other] { $count } Alarme
}
Answer-HazardAcknowledged = `{ $hazard }` bestätigt
Answer-Acknowledged = { how-many } bestätigt
Answer-HazardSilenced = `{ $hazard }` für 30 s stumm
Answer-Silenced = { how-many } für 30 s stumm
Answer-PullBegun = Einfahrtest begonnen: Motor rückwärts, langsam auf Last bringen und eine Minute oder länger halten
Answer-PullRuns = der Einfahrtest läuft
Answer-PhonesDoubtful = { $said }; zuletzt ging kein Weg zu Telefonen ({ $channels }): Alarme erreichen vielleicht nur Anzeigen an Bord

## Ablehnungen

Refusal-NoFix = keine brauchbare Position, um den Anker zu markieren ({ $why }); `position` angeben oder neu fallen lassen, wenn es eine Ortung gibt
Refusal-NotAtAnchor = nicht vor Anker: erst `letGo`
Refusal-RodeTooShort = `{ $name }` = { $rode } reicht nicht bis zum Grund: { $depth } Wasser und die Bugrolle { $roller } darüber; mehr stecken
Refusal-Impossible = `{ $name }` = { $value } liegt außerhalb; { $least } bis { $most } angeben
Refusal-NoRadius = `kind` = `{ $kind }` hat keine Kette für einen Kreis: `radius` bis Schiffsmitte angeben
Refusal-Misplaced = `{ $member }` hat bei `kind` = `{ $kind }` keine Bedeutung; weglassen
Refusal-NoFirst = kein erster Anker markiert; den ersten ohne `kind` fallen lassen
-no-track = die Spur zeigt nicht, wo der Anker liegt:
Refusal-NotLain = { -no-track } das Schiff lag noch keine { $after } still; `position` angeben
Refusal-NotSwung = { -no-track } in { $lain } hat es nicht genug geschwojt oder nicht so, wie Kette und Tiefe es wollen; `position` angeben
Refusal-NoPull = kein Einfahrtest bei `{ $kind }`
Refusal-NoTest = kein Einfahrtest läuft; `pullTest` = `true` beginnt einen
Refusal-Marked = das Schiff liegt { $moored ->
    [yes] fest
   *[no] vor Anker
} seit { $since } UTC{ $away ->
    [none] {""}
   *[other] , die Marke ist { $away } vom Bug
}; erst `weigh`, oder `reanchored`, wenn neu geankert wurde, oder `kind` = `secondAnchor` für einen weiteren Anker
Refusal-MarkedSecond = ein zweiter Anker ist schon markiert, { $apart } vom ersten; dazu `reanchored`, wenn er neu fiel
Refusal-TooFar = `{ $name }` liegt { $distance } { $from_mark ->
    [yes] von der Marke
   *[no] vom Schiff
}, erlaubt sind { $limit }; Breite und Länge prüfen, West und Süd sind negativ
Refusal-NoAlert = kein Alarm zum Bestätigen oder Stummschalten
Refusal-AcknowledgedAlready = schon bestätigt
Refusal-Emergency = ein Notfallalarm lässt sich nicht stummschalten; bestätigen

## Der Verlauf

PhaseName-aweigh = Anker auf
PhaseName-setting = Eingraben
PhaseName-set = Anker hält
PhaseName-dragging = Anker slippt
Note-Phase = { $phase }: { $how }
Note-Moves = der Anker bewegt sich
Note-Holds = das Schiff lag { $quiet } ruhig: der Anker hält
Note-HoldsElsewhere = der Anker hält wieder; er liegt wohl { $moved } von der alten Marke, von ihr in { $bearing }, auf { $doubt } genau
Note-WithinReach = das Schiff liegt wieder in Reichweite des Ankers
goes-on = die Wache geht nach einem Neustart weiter ({ $phase }): blind
Note-GoesOn = { goes-on } seit { $since } UTC, { $blind } lang
Note-GoesOnClockBack = { goes-on } für unbekannte Zeit: die Uhr ging zurück
Note-GoesOnUnknown = { goes-on } für unbekannte Zeit
Note-OtherReceiver = die Position kommt jetzt von `{ $source }`, `{ $before }` gibt keine brauchbare; Unterschied { $apart }
Note-ShownAgain = jemand hat die Meldung `{ $hazard }` am Datenserver auf normal gesetzt, obwohl sie besteht; sie wird wieder gezeigt
Note-Silenced = für 30 s stumm: { $alert }
Note-GoneNotAcknowledged = vorbei, nicht bestätigt: { $alert }

## Der Einfahrtest

Verdict-held = hält
Verdict-yielding = slippt unter Motor
Verdict-cannotTell = unentschieden
PullTest-Held = Einfahrtest: { Verdict-held }: { $why }
PullTest-Yielding = Einfahrtest: { Verdict-yielding }: { $why }; mehr stecken und neu versuchen oder lichten
PullTest-CannotTell = Einfahrtest: { Verdict-cannotTell }: { $why }; nicht darauf verlassen
under-load = { $rpm ->
    [none] unter Zug
   *[other] bei { $rpm } U/min
}
Pull-NoLoad = noch keine Last; mindestens { $needed } U/min nötig
Pull-TooShort = bisher { $held } s gleichmäßige Last, { $needed } s nötig
Pull-NotSteady = die Last war nicht gleichmäßig, { $changes } Wechsel; eine Gasstellung { $needed } s halten
Pull-NoPosition = keine brauchbare Position, während der Motor zog
Pull-Moved = { $figures } bewegt { under-load }
Pull-MovedNone = keine Bewegung über den GPS-Fehler hinaus ({ $figures }) { under-load }
Pull-TowardsAnchor = { $figures } bewegt, zum Anker hin: der Zug kommt nicht auf die Kette
Pull-StillMoves = { $figures } bewegt und geht weiter zurück; Last halten
Pull-Uncertain = { $figures } bewegt, zu unsicher; Last länger halten
Pull-Figures = { $moved } ± { $doubt } { $ahead ->
    [yes] voraus
   *[no] achteraus
} in { $seconds } s

## Bemerkungen

Remark-NotJudged = { $kind ->
    [secondAnchor] zwei Anker: welcher slippt, zeigt sich nicht, solange das Schiff in Reichweite beider liegt
    [mooring] an der Boje: ihr Geschirr wird nicht geprüft; Slippen zeigt sich nur außerhalb des eingegebenen Kreises
    [shoreLine] an Landleinen: Slippen und Kettenlänge nicht überwacht, nur der eingegebene Kreis
   *[sternTo] mit dem Heck zur Pier: ein Anker, der zur Pier slippt, zeigt sich in keiner Ortung; nur der eingegebene Kreis wird überwacht
}
Remark-NotSettled = noch nicht eingegraben: in den letzten { $settle } { $moved } { $farther ->
    [yes] von der Marke weg
   *[no] zur Marke hin
}
Remark-SecondAnchor = zweiter Anker auf { $position }, seine Kette reicht { $reach }
Remark-RodeAssumed = Kettenlänge nicht eingegeben: alle { $rode } gelten als gesteckt, Slippen wird spät erkannt; mit `veer` eingeben
Remark-Counter = gesteckt laut Kettenzähler: { $rode }
Remark-CounterIgnored = Kettenzähler übergangen: seine { $rode } reichen nicht bis zum Grund
Remark-Tide = Tide { $tide }
Remark-TideAndSoundings = Tide { $tide }; gelotet { $surge } { $less ->
    [yes] weniger
   *[no] mehr
} als das
Remark-NoTide = keine Tide: Kettenlänge und Kiel nur für die jetzige Tiefe geprüft
Remark-NoDraught = Tiefgang nicht gesetzt: Wasser unter dem Kiel nicht geprüft; `boat.draught` setzen
Remark-NoDepth = Tiefe nicht bekannt: Reichweite gleich der ganzen Kette, Verhältnis nicht geprüft
Remark-NoWindAtSet = kein Wind bekannt, als der Anker griff: Winddrehung nicht überwacht
Remark-NoHeading = kein Steuerkurs: Lage des Bugs nicht bekannt; die Toleranz wächst um seinen Abstand zur Antenne
Remark-NoAntenna = Lage der Antenne nicht gesetzt: `boat.antenna_from_bow`; eine halbe Schiffslänge mehr Fehler
Remark-NoTransducer = Bezug des Echolots nicht bekannt: `boat.transducer_depth` oder `boat.draught` setzen
Remark-FixInDoubt = GPS zweifelhaft: { $doubts }; Slippen mit größerer Toleranz überwacht
Doubt-Satellites = { $count ->
    [one] { $count } Satellit
   *[other] { $count } Satelliten
}
Doubt-Geometry = schlechte Geometrie ({ $dilution })
Doubt-Caution = der Empfänger mahnt zur Vorsicht
Doubt-Scatter = Ortungen streuen um { $by }
Doubt-Apart = { $by } zwischen Orten und Fahrt
TideBy-Server = laut Datenserver: { $words }
TideBy-Prediction = vorausberechnet: { $words }
TideBy-Typed = wie eingegeben
tide-at = { $time ->
    [none] {""}
   *[other] {" "}um { $time }
}
TideWords-High = Hochwasser { $height }{ tide-at }
TideWords-Low = Niedrigwasser { $height }{ tide-at }
TideWords-NoHigh = Hochwasser nicht gemeldet
TideWords-NoLow = Niedrigwasser nicht gemeldet
TideWords-Server = { $high }, { $low }; spätere Tiden sind nicht bekannt
TideWords-Station = { $station }, bis { $until }: höchster Stand { $highest } um { $highest_at }, niedrigster { $lowest } um { $lowest_at }

## Nachrichten an Telefone

Push-AlertTitle = { $boat }: { $priority }, { $hazard }
Push-AcknowledgedTitle = { $boat }: bestätigt, { $hazard }
Push-GoneTitle = { $boat }: { $hazard }: vorbei, nicht bestätigt
Push-NotAcknowledged = { $alert } (seit { $since }, nicht bestätigt)
Push-Stands = { $alert } (seit { $since })
Push-ClearedTitle = { $boat }: { $cleared }
Push-Cleared = { $priority } vorbei
Push-ClearedUnwatched = { $priority } vorbei, kein Anker wird jetzt überwacht
Push-WeighedTitle = { $boat }: Anker gelichtet
Push-Weighed = die Wache ist beendet; { $hazard }: nicht mehr überwacht
missed = { $count ->
    [one] { $count } Alarm
   *[other] { $count } Alarme
} ohne Netz, { $anchored ->
    [yes] vorbei
   *[no] kein Anker wird jetzt überwacht
}
Push-MissedTitle = { $boat }: { missed }
Push-Missed = { $hazards }; von { $since } bis { $until }
Push-DarkTitle = { $boat }: nichts von der Ankerwache
Push-Dark = stumm seit { $after }: die Verbindung an Land oder die Wache selbst ist ausgefallen; jemanden beim Schiff anrufen
Push-TestTitle = { $boat }: Test, kein Alarm
Push-Test = über `{ $channel }` um { $clock } UTC von `windrode check` gesendet, so dringend wie ein Alarm; alles ist in Ordnung

DrillTold-Mark = ÜBUNG
DrillTold-Message = { DrillTold-Mark }: { $message }

## Der Status

PhaseName-moored = festgemacht
Label-wind = Wind
Label-windDirection = Wind aus
Label-sounder = Tiefe
Label-heading = Kurs
Label-speed = Fahrt
Label-revolutions = Motor
Label-ais = AIS
Row-Anchor = Anker
Row-Mooring = Boje
Row-Reach = Reichw.
Row-Circle = Kreis
Row-Snubber = Snubber
Row-Dragging = Slippen
Row-PullTest = Einfahren
Row-Wind = Wind
Row-Depth = Tiefe
Row-Berth = Platz
Row-Approach = Anlauf
Row-Way = Auslauf
Row-Vessel = Schiff
Row-Plan = Plan
Row-Room = Raum
Row-Fix = Ortung
Row-Server = Server
Row-Journal = Journal
Row-Phone = Telefon
ago = { $ago ->
    [none] {""}
   *[other] , vor { $ago }
}
state = { $state ->
    [unacknowledged] , nicht bestätigt
    [silenced] , stumm, nicht bestätigt
    [acknowledged] , bestätigt
    [gone] , vorbei, nicht bestätigt
    [normal] , vorbei
   *[shown] {""}
}
Status-Headline = { $phase }{ $since ->
    [none] {""}
   *[other] {" "}seit { $since } ({ $ago })
}
Status-NoAlerts = keine Alarme
Status-Alert = { $priority }{ state }, seit { $since }
Status-AlertInShort = { $priority }{ state }: { $hazard }
Status-WhenSeen = wenn gesehen: `windrode acknowledge { $hazard }`
Status-AnchorBears = peilt { $bearing }, Abstand { $distance } von der { $antenna ->
    [yes] GPS-Antenne
   *[no] Bugrolle
}{ ago }
Status-AnchorAt = { $position }{ $depth ->
    [none] {""}
   *[other] , gefallen auf { $depth }
}
Status-Reach = { $reach } ({ $rode ->
    [none] Kettenlänge nicht eingegeben
   *[other] { $rode } gesteckt
}{ $scope ->
    [none] {""}
   *[other] , Verhältnis { $scope }:1{ $let_go ->
        [yes] {" "}nach der Tiefe beim Fallen
       *[no] { ago }
    }
})
Status-Circle = { $circle } um { $mooring ->
    [yes] die Boje
   *[no] den Anker
}{ $radius ->
    [none] {""}
   *[other] ; Schiff { $ago ->
        [none] {""}
       *[other] war{" "}
    }{ $radius } davon{ ago }
}
Status-Drag = zu { $percent ->
    [none] über 99
   *[other] { $percent }
} %, { $beyond ->
    [none] in Reichweite
   *[other] { $beyond } außer Reichweite
}{ ago }
Status-PullTest = { $verdict }: { $why }
Status-Wind = { $from } { $speed }{ $gust ->
    [none] {""}
   *[other] , Böen bis { $gust }
}{ $shift ->
    [none] {""}
   *[other] , { $shift }, seit der Anker hält
}{ ago }
Status-Depth = { $depth } Wasser{ ago }
Status-Berth = peilt { $bearing }, Abstand { $distance }{ $time ->
    [none] {""}
   *[other] , noch { $time }
}{ ago }
Status-Approach = gegen den Wind ist { $course }{ ago }{ $off ->
    [none] {""}
   *[other] , { $off } an { $port ->
        [yes] Backbord
       *[no] Steuerbord
    } der Linie zum Platz
}
Status-Fix = auf { $doubt } genau (95 %), von `{ $source }`
Status-NoFix = KEINE ORTUNG: Slippen nicht erkennbar{ $ago ->
    [none] {""}
   *[other] ; die letzte vor { $ago }
}
Status-NotHeard = nicht gehört, seit windrode läuft
Status-Failing = { $what ->
    [noBottom] ohne Grund
    [noValue] ohne Wert
    [impossible] unmögliche Werte
    [frozen] eingefroren
   *[silent] stumm
} seit { $time }
Status-Phone = `{ $channel }` { $state ->
    [untried] noch nicht versucht
    [working] geht
    [failing] GEHT NICHT
   *[refused] ABGELEHNT
}{ $worked ->
    [none] {""}
   *[other] , ging zuletzt vor { $worked }
}{ $waiting ->
    [0] {""}
    [one] , { $waiting } Nachricht wartet
   *[other] , { $waiting } Nachrichten warten
}{ $trouble ->
    [yes] ; `windrode check` nennt den Grund
   *[no] {""}
}
Status-Caution = Hilfsmittel, kein Ersatz für Ausguck und Ankerwache. Nicht zur Navigation.
Screen-Server = Server { $link }
Screen-NoAnswer = KEINE ANTWORT von windrode seit { $since }
Screen-IsItRunning = Läuft es? `systemctl status windrode`
Screen-NotWatched = Der Anker wird vielleicht nicht überwacht. Ausguck halten.
Screen-NoFigures = Es wird kein Wert gezeigt, weil keiner aktuell ist.
Screen-NoAnchor = kein Anker markiert
Screen-NoBoat = ohne Ortung kein Schiff
Screen-NorthUp = Norden ist oben
Screen-More = mehr: windrode status
Screen-Keys = a bestätigen   s 30 s stumm   q Ende

## Das Bild

Picture-Title = { $phase }, keine Alarme
Picture-AlertTitle = { $priority }: { $hazard }
Picture-NotWatched = der Anker wird nicht überwacht
Picture-Since = seit { $since }, { $time } lang
Picture-SinceUnknown = seit wann, ist nicht bekannt
Picture-Also = auch { $hazards }
Picture-AnchorFrom = Anker von { $antenna ->
    [yes] Antenne
   *[no] Bug
}
Picture-BerthFrom = Platz von { $antenna ->
    [yes] Antenne
   *[no] Bug
}
Picture-TimeToBerth = Zeit zum Platz
Picture-WindFrom = Wind aus
Picture-HeadToWind = gegen den Wind
Picture-Depth = Tiefe
Picture-DepthAndScope = Tiefe, Kette
Picture-Reach = Reichweite
Picture-Circle = Schwojkreis
Picture-Fix = Ortung, 95 %
Picture-Vector = { $distance } { $bearing }{ ago }
Picture-Wind = { $speed } { $from }{ ago }
Picture-DepthAgo = { $depth }{ ago }
Picture-FixDoubt = ±{ $doubt }
Picture-NoFixFor = keine seit { $time }
Picture-NotKnown = unbekannt
Picture-Aid = Hilfsmittel, kein Ersatz für Ausguck.
Picture-NotForNavigation = Nicht zur Navigation.
Picture-NoPlace = kein Ort bekannt
Picture-Seen = gesehen vor { $ago }
Picture-NoHeading = kein Kurs
Picture-BerthLabel = Platz
Picture-CircleLabel = Kreis { $radius }
Picture-PlannedLabel = geplant { $radius }
Picture-LeastLabel = geringste { $depth }
Picture-ReachLabel = Reichweite { $radius }
Picture-OneHour = 1 h
Picture-Now = jetzt

## Auf der Karte der Anzeigen

Drawing-Circle = Schwojkreis
Drawing-CircleText = Die Schiffsmitte bleibt im Umkreis von { $radius } um den Anker
Drawing-Anchor = Anker
Drawing-AnchorText = Wo der Anker wohl liegt
Drawing-Berth = Ankerplatz
Drawing-BerthText = Geplante Position des Ankers

## Die Ansteuerung

Approaching-TurnUp = jetzt in den Wind drehen: Kurs { $course }; der Platz liegt { $beyond } in Luv, das Schiff läuft { $carries } aus
over-berth = über dem Platz ({ $distance }): fallen lassen
Approaching-LetGo = { over-berth }
Approaching-LetGoStopped = { over-berth }; das Schiff steht
Approaching-LetGoMoving = { over-berth }; { $speed } über Grund, das Schiff läuft noch { $carries } aus{ $stop ->
    [yes] ; erst aufstoppen
   *[no] {""}
}
Approaching-Passed = Platz passiert: er peilt { $bearing }, Abstand { $distance }; zurücktreiben lassen oder neu anlaufen
Approaching-StopEngine = Motor stoppen: bei { $speed } läuft das Schiff { $carries } aus, der Platz ist { $distance } entfernt (übliche Praxis)
Approaching-SlowDown = langsamer: { $speed }; höchstens { $limit } im Umkreis von { $within } um den Platz (übliche Praxis)
WayBy-entered = wie eingegeben
WayBy-learned = aus der Spur gelernt
WayBy-assumed = angenommen: zwei Schiffslängen aus 2 kn; `boat.way` eingeben
Status-Way = läuft bei gestopptem Motor { $carries } aus, { $by }; so weit hinter dem Platz aufdrehen

## Andere Schiffe

Alert-Neighbours = { $first }{ $also }{ $more ->
    [0] {""}
   *[other] ; und { $more } weitere
}{ $unseen ->
    [none] {""}
   *[other] {" "}(von unserer letzten Position, { $unseen })
}; { $danger ->
    [leaves] hinausschauen, die Crew dort wecken, Motor starten
    [passes] hinausschauen, Licht zeigen
   *[liesCloser] hinausschauen, Fender aus, Kette kürzen oder verlegen
}
heard-ago = { $heard ->
    [none] {""}
   *[other] {" "}(gehört vor { $heard })
}
Vessel-Leaves = Nachbar slippt oder fährt: { $name } hat den Platz verlassen, { $off } entfernt, peilt { $bearing }{ $after ->
    [none] {""}
   *[other] , nähert sich mit { $closing }, { $least ->
        [none] berührt vielleicht
       *[other] passiert mit { $least } Abstand
    } in { $after }
}{ heard-ago }
Vessel-Passes = Schiff passiert nah: { $name } { $least ->
    [none] berührt vielleicht
   *[other] kommt auf { $least } heran
} in { $after }; jetzt { $off } entfernt, peilt { $bearing }, nähert sich mit { $closing }{ heard-ago }
Vessel-LiesCloser = Nachbar liegt näher: { $name } ist { $off } entfernt, peilt { $bearing }, näher als zuvor{ heard-ago }
Vessel-Also = ; auch { $name }, { $off } in { $bearing }
Vessel-Row = peilt { $bearing }, Abstand { $distance }, { $doing ->
    [atAnchor] vor Anker
    [moored] festgemacht
    [leftHerPlace] hat den Platz verlassen
   *[underWay] in Fahrt
}{ $speed ->
    [none] {""}
   *[other] {" "}mit { $speed }
}, gehört vor { $heard }{ $circle ->
    [none] {""}
   *[other] ; Kreis { $circle } ({ $assumed ->
        [yes] angenommen
       *[no] nach der Spur
    })
}{ $rooms ->
    [yes] , Raum { $together ->
        [none] keiner
       *[other] { $together }
    } beim Schwojen miteinander, schlimmstenfalls { $worst ->
        [none] keiner
       *[other] { $worst }
    }
   *[no] {""}
}
Alert-MayDrag = { $kind ->
    [mooring] Boje
   *[other] Anker
} slippt vielleicht, zu { $percent } %; Marke peilt { $bearing }, Abstand { $distance }; Position prüfen
Changed-Snubber = der Snubber wurde { by } anders gemeldet, Slippen wird spät erkannt; { -if-not } neu melden
Answer-StillOn = { $said }; der Snubber sitzt bei { $at } Kette, das Schiff liegt an { $drawn }: neu melden, wenn er versetzt wurde oder ab ist
Answer-SnubberOff = Snubber ab{ $rode ->
    [none] {""}
   *[other] : das Schiff liegt an { $rode } Kette
}
Answer-SnubberOn = Snubber bei { $at } Kette, { $length } lang: das Schiff liegt an { $drawn }{ $scope ->
    [none] {""}
   *[other] , Verhältnis { $scope }:1
}{ $short ->
    [yes] ; mindestens { $drawn } Kette stecken, sonst trägt die Kette und nicht der Snubber
   *[no] {""}
}
Refusal-NoHook = die Kette vom Anker bis zum Haken ist nicht bekannt; als `at` angeben
Refusal-NoSnubberLength = die Länge des Snubbers ist nicht bekannt; als `length` angeben oder auf Dauer als `tackle.snubber_length`
Refusal-HookBeyond = `at` = { $at } ist mehr als die { $rode } Kette, die gesteckt sind; erst die Kette melden
Remark-Seldom = Position nur alle { $every }: Slippen wird spät gesehen
Status-BerthFromAnchor = { $distance } vom Anker, von ihm in { $bearing }
Status-Snubber = bei { $at } Kette, { $length } lang: das Schiff liegt an { $drawn }

## Karten, in den Begriffen von IHO S-57 und INT 1

Class-ACHBRT = Ankerliegeplatz
Class-ACHARE = Ankerplatz
Class-CBLARE = Kabelgebiet
Class-CBLSUB = Unterwasserkabel
Class-CTNARE = Vorsichtsgebiet
Class-COALNE = Küstenlinie
Class-DAMCON = Damm
Class-DEPARE = Tiefengebiet
Class-DEPCNT = Tiefenlinie
Class-DRGARE = gebaggertes Gebiet
Class-DMPGRD = Schuttstelle
Class-FAIRWY = Fahrwasser
Class-FSHFAC = Fischstöcke oder Reusen
Class-FLODOC = Schwimmdock
Class-HULKES = Hulk
Class-LNDARE = Land
Class-MARCUL = Marikultur
Class-MIPARE = militärisches Übungsgebiet
Class-MORFAC = Festmacheeinrichtung
Class-OBSTRN = Schifffahrtshindernis
Class-OFSPLF = Plattform
Class-PILPNT = Pfahl
Class-PIPARE = Rohrleitungsgebiet
Class-PIPSOL = Unterwasserrohrleitung
Class-PONTON = Ponton
Class-RESARE = Gebiet mit Beschränkungen
Class-SLCONS = Pier, Mole oder Wellenbrecher
Class-SOUNDG = Lotung
Class-UWTROC = Fels
Class-UNSARE = unvermessenes Gebiet
Class-WRECKS = Wrack
Class-M_COVR = Kartenabdeckung
Class-M_QUAL = Vermessungsgüte
Restriction-1 = Ankern verboten
Restriction-2 = Ankern beschränkt
Restriction-3 = Fischen verboten
Restriction-4 = Fischen beschränkt
Restriction-5 = Schleppnetzfischerei verboten
Restriction-6 = Schleppnetzfischerei beschränkt
Restriction-7 = Einfahrt verboten
Restriction-8 = Einfahrt beschränkt
Restriction-9 = Baggern verboten
Restriction-10 = Baggern beschränkt
Restriction-11 = Tauchen verboten
Restriction-12 = Tauchen beschränkt
Restriction-13 = Sog und Wellenschlag vermeiden
Restriction-14 = zu meidendes Gebiet
Restriction-15 = Bauen verboten
Restriction-16 = Einleiten verboten
Restriction-17 = Einleiten beschränkt
Restriction-18 = Erschließung und Abbau von Bodenschätzen verboten
Restriction-19 = Erschließung und Abbau von Bodenschätzen beschränkt
Restriction-20 = Bohren verboten
Restriction-21 = Bohren beschränkt
Restriction-22 = Entfernen historischer Fundstücke verboten
Restriction-23 = Umladen von Fracht verboten
Restriction-24 = Schleppen über den Grund verboten
Restriction-25 = Anhalten verboten
Restriction-26 = Anlanden verboten
Restriction-27 = Geschwindigkeit beschränkt
Datum-1 = mittleres Springniedrigwasser
Datum-2 = mittleres niedrigeres Springniedrigwasser
Datum-3 = mittlerer Meeresspiegel
Datum-4 = niedrigstes Niedrigwasser
Datum-5 = mittleres Niedrigwasser
Datum-6 = niedrigstes Springniedrigwasser
Datum-7 = ungefähres mittleres Springniedrigwasser
Datum-8 = indisches Springniedrigwasser
Datum-9 = Springniedrigwasser
Datum-10 = ungefähr niedrigster astronomischer Wasserstand
Datum-11 = nahezu niedrigstes Niedrigwasser
Datum-12 = mittleres niedrigeres Niedrigwasser
Datum-13 = Niedrigwasser
Datum-14 = ungefähres mittleres Niedrigwasser
Datum-15 = ungefähres mittleres niedrigeres Niedrigwasser
Datum-16 = mittleres Hochwasser
Datum-17 = mittleres Springhochwasser
Datum-18 = Hochwasser
Datum-19 = ungefährer mittlerer Meeresspiegel
Datum-20 = Springhochwasser
Datum-21 = mittleres höheres Hochwasser
Datum-22 = Äquinoktial-Springniedrigwasser
Datum-23 = niedrigster astronomischer Wasserstand
Datum-24 = örtliches Kartennull
Datum-25 = Bezugshorizont der Großen Seen von 1985
Datum-26 = mittlerer Wasserstand
Datum-27 = niedrigeres Niedrigwasser großer Tiden
Datum-28 = höheres Hochwasser großer Tiden
Datum-29 = nahezu höchstes Hochwasser
Datum-30 = höchster astronomischer Wasserstand
Sureness-1 = Tiefe bekannt
Sureness-2 = Tiefe unbekannt
Sureness-3 = zweifelhafte Lotung
Sureness-4 = unzuverlässige Lotung
Sureness-5 = kein Grund bei diesem Wert
Sureness-6 = geringste Tiefe bekannt
Sureness-7 = geringste Tiefe unbekannt, frei bis zu diesem Wert
Sureness-8 = gemeldeter Wert (nicht vermessen)
Sureness-9 = gemeldeter Wert (nicht bestätigt)
Sureness-10 = Solltiefe
Sureness-11 = nicht regelmäßig unterhalten
WaterLevel-1 = bei Hochwasser zum Teil unter Wasser
WaterLevel-2 = immer trocken
WaterLevel-3 = immer unter Wasser
WaterLevel-4 = trockenfallend
WaterLevel-5 = überspült
WaterLevel-6 = Überflutung möglich
WaterLevel-7 = schwimmend
Height-Depth = { $at }
Height-Drying = trockenfallend { $by }
Charted-Between = { $class } { $least } bis { $most }
Charted-At = { $class } { $depth }
Charted-NoDepth = { $class } ohne Tiefe
Charted-UnknownDepth = { $class }, Tiefe unbekannt
Charted-FoulGround = unreiner Grund
Charted-Named = { $what } ({ $name })
Charted-Ruled = { $what }: { $rules }
Charted-Code = Code { $number } von { $attribute }
Place-Centre = { $what }, in der Mitte
Place-Off = { $what }, von der Mitte { $distance } in { $bearing }
Share-All = 100 %
Share-MoreThan99 = mehr als 99 %
Share-LessThan1 = weniger als 1 %
Share-Part = { $percent } %
Against-Solid = nicht überall Wasser: { $what }
Against-Grounds = Grundberührung bei Niedrigwasser, { $by } fehlen: { $what }
Against-GroundsAtLowWater = Grundberührung bei Niedrigwasser, { $by } fehlen: { $what }; jetzt dort { $left } unter dem Kiel
Against-MarginShort = { $left } unter dem Kiel bei Niedrigwasser, Minimum { $margin }: { $what }
Against-UnknownDanger = Gefahr unbekannter Tiefe: { $what }{ $count ->
    [one] {""}
   *[other] ; insgesamt { $count } solche Gefahren
}
Against-NotCovered = { $share } davon sind hier auf keiner Karte; was dort ist, ist nicht bekannt
Against-NoDepth = die Karte gibt für { $share } davon keine Tiefe
Against-Touches = berührt: { $what }
Against-Foul = tief genug für den Kiel, aber der Anker kann unklar kommen: { $what }
Sheet-Cell = { $name }, { $scale ->
    [none] Maßstab nicht angegeben
   *[other] 1:{ $scale }
}, { $datum ->
    [none] Kartennull nicht angegeben
   *[other] Kartennull: { $datum }
}{ $edition ->
    [none] {""}
   *[other] , Ausgabe { $edition }
}{ $update ->
    [none] {""}
   *[other] , Update { $update }
}{ $issued ->
    [none] {""}
   *[other] , vom { $issued }
}
Sheet-Told = { $cell }{ $count ->
    [0] {""}
   *[other] , und { $count } weitere
}, Vermessungsgüte { $survey ->
    [none] nicht angegeben
   *[other] { $survey }
}
on-chart = { $chart ->
    [none] {""}
   *[other] {" "}(Karte { $chart })
}
by-own = { $own ->
    [none] {""}
   *[other] {" "}nach eigener Lotung ({ $own })
}
RoomToSwing-Clear = Schwojraum laut Karte frei{ $least ->
    [none] {""}
   *[other] , geringste Tiefe { $least } bei Niedrigwasser{ by-own }
}{ on-chart }
-not-clear = Schwojraum NICHT FREI
RoomToSwing-NotClear = { -not-clear }: { $reasons }{ on-chart }
RoomToSwing-NotClearHere = { -not-clear } um den Anker: { $reasons }; besser jetzt neu ankern{ on-chart }
RoomToSwing-NotRead = die Karte ist noch nicht gelesen; was sie sagt, folgt
RoomToSwing-NoCharts = keine Karten an Bord: Schwojraum nicht geprüft{ $own ->
    [none] {""}
   *[other] ; flachste eigene Lotung dort: { $own }; gelotet ist nur, wo das Boot schon war
}
RoomToSwing-Unreadable = Schwojraum nicht geprüft: die Karten sind nicht lesbar, das Log nennt den Grund
RoomToSwing-NotSized = kein Kreis: die Karte gibt am Ankerplatz keine Tiefe, und das Echolot sendet nichts
Planning-Circle = { $depth }; Kette { $rode }{ $scope }{ $may_be_deeper ->
    [yes] { $by_soundings ->
        [yes] ; diese Kette gilt für die flachste Lotung und kann ZU KURZ sein, vor dem Ankern am Platz loten
       *[no] ; die Karte gibt dort keine größte Tiefe: diese Kette gilt für die geringste und kann ZU KURZ sein, vor dem Ankern am Platz loten
    }
   *[no] {""}
}{ $aboard ->
    [none] {""}
   *[other] , NICHT GENUG AN BORD: { $aboard }
}; { $circle ->
    [none] diese Kette reicht nicht bis zum Grund
   *[other] Kreis { $circle } bis zum Heck
}
with-scope = { $scope ->
    [none] {""}
   *[other] , Verhältnis { $scope }
}
Planning-ScopeAsAsked = {" "}wie verlangt{ with-scope }
Planning-Scope = { with-scope }, geplant { $planned }: { $why }
Planning-DepthWithTide = { $by }; { $high } Wasser bei Hochwasser, { $low } bei Niedrigwasser
Planning-ChartedNoTide = { $by }, keine Tide bekannt
Planning-SoundedNoTide = { $by }; { $depth } Wasser, keine Tide bekannt
sounded-there = { $own ->
    [none] {""}
   *[other] {" "}(dort gelotet: { $own })
}
Planning-Charted = Kartentiefe { $least } { $most ->
    [none] oder mehr
   *[other] bis { $most }
}{ sounded-there }
Planning-ChartedAt = Kartentiefe { $depth }{ sounded-there }
Planning-SoundedBefore = früher dort gelotet: { $least }{ $shoalest ->
    [none] {""}
   *[other] , flachste Lotung { $shoalest }
}; keine Karte gibt die Tiefe
Planning-Sounded = Tiefe wie jetzt hier gelotet, nicht aus der Karte
Sounded-On = am { $day }, { $tide }
Sounded-Depth = { $depth } { $on }
Sounded-Own = eigene Lotung { $what }
Sounded-InCircle = eigene Lotungen: { $squares ->
    [one] ein Feld von 5 m
   *[other] { $squares } Felder von 5 m
} im Kreis, die flachste { $shoalest }; gelotet ist nur, wo das Boot schon war
ReducedBy-Station = Tide von { $name }
ReducedBy-Server = Tide vom Datenserver
ScopeWhy-AsAsked = wie verlangt
ScopeWhy-Storm = { $wind } Wind sind Sturm
ScopeWhy-Strong = { $wind } Wind sind Starkwind
ScopeWhy-HoldingUnknown = der Ankergrund ist nicht bekannt
ScopeWhy-HoldingPoor = der Ankergrund hält schlecht
ScopeWhy-ChainTooShort = die Kette ist zu kurz, an der Rolle liegt Leine
ScopeWhy-HoldingGood = guter Ankergrund, kein Starkwind
shoal-share = { $share ->
    [none] {""}
   *[other] , { $share } des Kreises
}
Alert-ShoalingCharted = zu flach im Schwojkreis{ shoal-share }: { $reasons ->
    [none] kaum mehr als das Minimum unter dem Kiel
   *[other] { $reasons }
}; vor Niedrigwasser Kette kürzen oder verholen{ on-chart }
Status-Chart = { $told }
Remark-Chart = { $room }

## Technische Ursachen

LinkFault-NotConnectedYet = noch nicht mit dem Server verbunden
LinkFault-NotAnswering = Signal-K-Server antwortet nicht
LinkFault-NoConnection = keine Verbindung zum Server; das Log nennt den Grund
LinkFault-ServerClosed = der Server hat die Verbindung beendet
LinkFault-Status = der Server beantwortet die Verbindung mit Status `{ $status }`
LinkFault-NoHello = der Server meldet sich 10 s lang nicht; ist es ein Signal-K-Server?
LinkFault-NoPong = der Server beantwortet einen Ping 15 s lang nicht
LinkFault-Silent = der Server sendet seit 70 s nichts
LinkFault-Reconnecting = neue Verbindung mit neuen Rechten
-approve = `windrode` in den Sicherheitseinstellungen des Servers, Access Requests, mit `readwrite` zulassen
LinkFault-TokenRefused = der Server lehnt unser Token ab; Token entfernen und { -approve }
LinkFault-TokenUnreadable = die Token-Datei ist nicht lesbar, das Log nennt den Grund
LinkFault-CertificateChanged = das Zertifikat des Servers ist nicht das, dem wir vertrauen: es kann der Server eines anderen Boots sein; das Log nennt, was zu tun ist
LinkFault-TrustUnreadable = was windrode über das Zertifikat des Servers weiß, ist nicht lesbar; das Log nennt, was zu tun ist
LinkFault-TokenExpired = unser Token für den Server ist abgelaufen; { -approve }
LinkFault-GivenTokenExpired = das Token in der Konfiguration ist abgelaufen; ein neues eintragen, oder es entfernen und { -approve }
LinkFault-ServerNotFound = kein Signal-K-Server antwortet auf diesem Rechner, und im Netz wurde keiner gefunden; ihn starten oder seine Adresse als `server.url` eintragen
LinkFault-ServersUnknown = im Netz wurden Signal-K-Server gefunden, aber windrode weiß nicht, welcher der dieses Boots ist: `windrode check` zeigt sie; den richtigen als `server.url` eintragen
LinkFault-OtherServers = der Server dieses Boots wurde im Netz nicht gefunden, nur andere: `windrode check` zeigt sie; ist einer davon der dieses Boots, ihn als `server.url` eintragen
LinkFault-ServerNotSecure = der Server dieses Boots wurde ohne Verschlüsselung gefunden, war aber vorher verschlüsselt: ein anderer Rechner gibt sich vielleicht für ihn aus; das Log nennt, was zu tun ist
LinkFault-ServerReticent = der unter `{ $url }` gefundene Server sagt ohne Token nicht, wer er ist; ist es der dieses Boots, ihn als `server.url` eintragen
LinkFault-AccessDenied = der Zugang zum Server wurde abgelehnt; um neu zu fragen, windrode neu starten und { -approve }
LinkFault-ReadOnly = der Server lässt uns nur lesen; windrode in den Sicherheitseinstellungen des Servers, Devices, das Recht `readwrite` geben
LinkFault-Unknown = der Server kennt uns nicht; { -approve }
LinkFault-NothingComesBack = was wir senden, kommt vom Server nicht zurück; prüfen, ob unser Token das Recht `readwrite` hat und kein anderer Client als `{ $label }` sendet
LinkFault-AlarmsNotShown = der Server zeigt unsere Alarme nicht: `{ $path }`{ $count ->
    [0] {""}
   *[other] {" "}und { $count } weitere
} ohne Echo in 25 s; prüfen, ob unser Token `notifications.*` am Server schreiben und lesen darf
LinkFault-Told = { $words }
JournalFault-DiskFull = Speicher voll: das Journal lässt sich nicht schreiben; Platz schaffen
JournalFault-ReadOnly = Speicher schreibgeschützt: das Journal lässt sich nicht schreiben; Karte oder Platte prüfen
JournalFault-Damaged = das Journal ist beschädigt; das Log sagt, was zu tun ist
JournalFault-DiskSlow = der Speicher des Journals antwortet nicht; Karte oder Platte prüfen
JournalFault-Unusable = der Ordner des Journals ist nicht benutzbar; das Log nennt den Grund
JournalFault-InUse = ein anderes windrode läuft mit diesem Journal; eines von beiden beenden
JournalFault-Newer = ein neueres windrode hat das Journal geschrieben; diese Version wieder installieren
JournalFault-NotWritten = das Journal lässt sich nicht schreiben; das Log nennt den Grund
JournalFault-Told = { $words }
LostWatch-JournalGone = das Journal ist weg
LostWatch-StateGone = der gespeicherte Stand fehlt im Journal
LostWatch-Unreadable = das Journal ist nicht lesbar
LostWatch-Told = { $words }
Link-Up = verbunden
Link-NotConnectedYet = noch nicht verbunden
Link-Down = getrennt: { $why }
Link-Impaired = gestört: { $why }
Answer-NotOnDisk = { $said }; das ist noch NICHT GESPEICHERT und wäre nach einem Neustart verloren: { $why }

## Die Planung

Margin-Depth = Tiefe
Margin-Tide = Tide
Margin-Keel = Kiel
Margin-Roller = Bugrolle
Margin-Scope = Verhältnis
Margin-Rode = Kette
Margin-Out = GESTECKT
Margin-TotalRode = KETTE GESAMT
Margin-Aboard = an Bord
Margin-Reach = Reichweite
Margin-Room = RAUM
Margin-Circle = Kreis
Margin-Wind = Wind
Margin-Bottom = am Grund
Margin-Lifts = hebt ab
Margin-Strength = Festigkeit
Margin-LookAt = Zu beachten
Margin-Assumed = Angenommen
Margin-OnTheChart = Auf der Karte
at-lowest = { $tide ->
    [yes] {" "}bei niedrigstem Wasser
   *[no] {""}
}
at-highest = { $tide ->
    [yes] {" "}bei höchstem Wasser
   *[no] {""}
}
with-scopes = { $now ->
    [none] {""}
   *[other] { $highest ->
        [none] , { $now }
       *[other] , { $highest } bei höchstem Wasser, { $now } jetzt
    }
}
Plan-WaterNow = jetzt { $depth } Wasser{ $below ->
    [transducer] {" "}({ $sounded } unter dem Geber)
    [keel] {" "}({ $sounded } unter dem Kiel)
    [datum] {" "}({ $sounded } laut Karte)
   *[surface] {""}
}
Plan-Range = { $high } bei höchstem, { $low } bei niedrigstem Wasser{ $until ->
    [none] {""}
   *[other] {" "}bis { $until } UTC
}
Plan-Tide = { $words }; { $cost }
Plan-Grounds = GRUNDBERÜHRUNG{ at-lowest }, { $by } fehlen
Plan-UnderKeel = { $left } unter dem Kiel{ at-lowest }
Plan-Roller = { $above } über dem Wasser, { $height } über Grund{ at-highest }
Plan-Scope = { $scope }:1, { $why }
Plan-Rode = { $scope } × { $height } = { $rode }
Plan-Out = { $out }{ with-scopes }{ $more ->
    [none] , genug für { $scope }:1
   *[other] ; noch { $more } stecken, { $all } insgesamt
}
Plan-TotalRode = { $rode }{ $all ->
    [yes] , mehr ist nicht da
   *[no] { $marks ->
        [none] {""}
       *[other] {" "}(Marken alle { $marks })
    }
}{ with-scopes }
Plan-Aboard = { $aboard }, { $enough ->
    [yes] genug
   *[no] NICHT GENUG
}
Plan-NoReach = keine: { $rode } Kette reichen nicht bis zum Grund
Plan-Reach = höchstens { $reach } vom Anker zur Bugrolle, wenn { $rode } gesteckt sind
Plan-Room = rund um den Anker { $widest } freihalten, dazu eine Reserve
Plan-Circle = Radius am Heck { $stern }, Bug { $bow }{ $antenna ->
    [none] {""}
   *[other] , Antenne { $antenna }
}{ $water ->
    [lowest] {" "}bei niedrigstem Wasser
    [highest] {" "}bei höchstem
   *[any] {""}
}{ $wind ->
    [none] {""}
   *[other] {" "}bei { $wind }
}
Plan-Wind = { $wind } ziehen stetig mit { $pull }; ABYC H-40 rechnet mit { $load }, Böen und Schwell eingeschlossen
Plan-Bottom = { $lead ->
    [none] { $lies } liegen am Grund
   *[other] nichts liegt am Grund, der Anker wird um { $lead }° angehoben
} { $steady ->
    [yes] bei stetigem Zug{ at-highest }
   *[no] unter der Last nach H-40
}
Plan-Lifts = { $chain ->
    [yes] die Kette
   *[no] das Ankergeschirr
} hebt ganz vom Grund ab bei { $wind } stetigem Wind, mit Böen und Schwell bei { $design } (ABYC H-40)
Plan-Strength = { $part }: Arbeitslast { $load }, nach H-40 erreicht bei { $wind }
Plan-NoCircle = die Kette reicht nicht bis zum Grund: es gibt keinen Kreis
Plan-Notice = Keine Zahl hier sagt, dass der Anker hält: einfahren, prüfen, ob er hält, Ankerwache gehen. Ein Hilfsmittel, kein Ersatz für das Urteil des Schiffsführers, gehörigen Ausguck und örtliche Vorschriften. Nicht zur Navigation.
Part-Chain = Kette { $of }
Part-Rope = Leine { $of }
Part-Snubber = Snubber { $of }
TideCost-NotKnown = nicht bekannt{ $datum ->
    [yes] ; die Kartentiefe gilt, wie sie ist; meist ist das Wasser tiefer
   *[no] {""}
}
TideCost-Server = der Server meldet nur das nächste Hoch- und Niedrigwasser, ein späteres kann höher oder niedriger sein; das Wetter verändert den Wasserstand um Dezimeter
TideCost-Prediction = die Vorausberechnung kennt kein Wetter: Wind und Luftdruck verändern den Wasserstand um Dezimeter
TideCost-Typed = so gut wie die Angabe; Wind und Luftdruck verändern den Wasserstand um Dezimeter
TideCost-None = steigt das Wasser um { $more }, bleibt ein Verhältnis von { $scope }; fällt es um { $more }, fehlen { $more } unter dem Kiel
Assumed-Sounder = Tiefe: wie das Echolot sie jetzt hier anzeigt
Assumed-WindNow = Wind: { $wind } wie er jetzt weht; den Wetterbericht ansehen und dessen Wind als `--wind` angeben
Assumed-Bottom = Grund: eben von hier bis zum Anker, dort so tief wie hier gelotet
Assumed-Tide = Tide: nicht angegeben, die Tiefe bleibt wie jetzt
Assumed-Roller = Bugrolle: nicht angegeben, { $height } über dem Wasser
Assumed-Length = Boot: Länge nicht angegeben, { $length } über alles
Assumed-Usual = { $what ->
    [beam] Breite
    [freeboard] Freibord
   *[masthead] Masttopp
} { $value }
Assumed-Windage = Windangriff: { $usual }, wie bei dieser Länge üblich
Assumed-Aboard = Kette: Länge an Bord nicht angegeben
Assumed-Marks = Kette: Marken nicht angegeben, nichts aufgerundet
Assumed-Material = Kette: Material nicht angegeben, Abheben des Ankers nicht geprüft
Assumed-Grade = Kette: Güteklasse nicht angegeben, die schwächste dieser Größe, G{ $grade }
Assumed-Weight = Kette: Gewicht aus der Größe berechnet, { $mass } kg/m
Assumed-NewRope = Leine: neu, trocken, ohne Knoten; Polyamid dehnt sich bei 15 % der Bruchlast um ein Zehntel, Polyester um 3 %
Assumed-Stretch = Kette: reckt sich um { $percent } %, wenn sie straff ist
Assumed-NoWind = Wind: nicht angegeben, sein Zug nicht geprüft
Assumed-Pull = Windlast: genau auf den Faktor 1,5 (stetig) und 2 (H-40, mit Böen, Gieren und Schwell); Strom zählt nicht mit
Caution-Stretches = Kette: sie reckt sich weiter, als `tackle.stretch` vorsieht: bis { $wind } im erwarteten Wind statt { $low }; etwa { $stretch } würde passen
Caution-NotEnough = zu wenig Kette: { $needed } nötig, { $aboard } an Bord; das ergäbe { $scope }; flacheres Wasser suchen
bottom-to-roller = { $height } vom Grund zur Bugrolle
Caution-AboardShort = die Kette an Bord reicht nicht bis zum Grund: { $aboard }, aber { bottom-to-roller }
Caution-ScopeShort = Verhältnis: { $out } sind { $scope } bei höchstem Wasser; { $more ->
    [none] { $wanted } nötig
   *[other] { $more } mehr ergeben { $wanted }
}
Caution-OutShort = die gesteckte Kette reicht nicht bis zum Grund: { $out }, aber { bottom-to-roller }
Caution-ScopeSmall = Verhältnis: { $scope } ist weniger als { $least }:1, das kostet viel Haltekraft
Caution-HoldingPoor = Ankergrund: schlecht, mehr Kette hilft nicht; einen anderen Platz suchen
Caution-Grounds = Kiel: Grundberührung bei niedrigstem Wasser, { $by } fehlen
Caution-KeelMargin = Kiel: { $left } Wasser darunter bei niedrigstem Wasser, Minimum { $margin }
Caution-NoDraught = Kiel: Tiefgang nicht angegeben, Wasser unter dem Kiel nicht geprüft
Caution-NoTide = Tide: nicht bekannt; { $cost }
Caution-Lifts = Anker: { $surely ->
    [yes] {""}
   *[no] mit Böen und Schwell:{" "}
}{ $chain ->
    [yes] die Kette
   *[no] das Ankergeschirr
} hebt im erwarteten Wind ganz vom Grund ab, und der Anker wird angehoben
Caution-Lead = Anker: um { $lead }° angehoben { $steady ->
    [yes] durch den stetigen Zug
   *[no] in Böen und Schwell
}; über { $most }° hält er vermutlich nicht; mehr stecken, wenn Raum ist
Caution-Load = { $part }: Arbeitslast { $working }, H-40 rechnet bei diesem Wind mit { $design }
Caution-LightAnchor = Anker: { $anchor } sind weniger als die { $wanted }, die Tabelle 20.1 des Small Craft Code für diese Länge und einen Anker gewöhnlicher Haltekraft nennt
BerthTold-At = Ankerplatz { $position }: { $depth }{ $own ->
    [none] {""}
   *[other] ; { $own }
}{ $short ->
    [none] {""}
   *[other] ; diese Kette gilt für die { $short ->
        [sounding] flachste Lotung
       *[bound] geringste Tiefe
    } und kann ZU KURZ sein, vor dem Ankern am Platz loten
}
BerthTold-NoChart = keine Karte gibt dort die Tiefe
to-most = { $most ->
    [none] oder mehr
   *[other] bis { $most }
}
BerthTold-Charted = Kartentiefe { $least } { to-most } (`{ $cell }`)
BerthTold-Sounded = Tiefe { $least } { to-most }, keine Karte gibt sie
BerthTold-NoDraught = Tiefgang nicht angegeben: Wasser unter dem Kiel nicht geprüft; als `--draught` angeben

## Schwojraum, und die Suche nach einem Ankerplatz

ChartMargin-Least = geringste
ChartMargin-Needed = nötig
ChartMargin-Danger = Gefahr
ChartMargin-Unknown = unbekannt
ChartMargin-Share = Anteil
ChartMargin-Rules = Regeln
ChartMargin-Foul = unrein
ChartMargin-Survey = Vermessung
ChartMargin-Chart = Karte
Swing-About = { $radius } um { $centre }{ $from ->
    [none] {""}
   *[other] , zwischen { $from } und { $to }
}
Swing-Clear = frei: auf der Karte spricht nichts dagegen
Swing-NotClear = NICHT FREI
Swing-NoDepth = keine Tiefe auf der Karte
Swing-Keel = bei Niedrigwasser { $short ->
    [none] { $left } unter dem Kiel
   *[other] { $short } zu wenig für den Kiel
}{ $error ->
    [none] {""}
   *[other] ; die Karte kann um { $error } falsch sein
}
Swing-Needed = { $needed } auf der Karte: Tiefgang { $draught }, Reserve { $margin }, niedrigste Tide { $tide }
Swing-Nearest = die nächste: { $danger }
Swing-NoDanger = keine innerhalb von { $within }
Swing-Part = { $share } { $what ->
    [tooShoal] zu flach oder gefährlich
    [notCovered] auf keiner Karte
   *[withoutDepth] ohne Tiefe auf der Karte
}
Swing-Survey = Vermessungsgüte { $quality }
Swing-Surveyed = { $quality }{ $end ->
    [none] {""}
   *[other] ; vermessen bis { $end }
}
Swing-Notice = Ein Hilfsmittel, nicht zur Navigation: die amtliche Karte ansehen und den Platz ausloten.
SurveyQuality-NotAssessed = U: nicht bewertet
SurveyQuality-Figures = { $zone }: Tiefen ±{ $depth } m + { $percent } %, Positionen ±{ $position } m{ $more ->
    [yes] {" "}+ 5 % der Tiefe
   *[no] {""}
}
SurveyQuality-Poor = { $zone }: schlechter als C, Tiefen und Positionen können weit daneben liegen
ChartCaution-NoTide = Tide nicht angegeben: Kartennull gilt als niedrigstes Wasser; es kann darunter fallen
ChartCaution-NoChart = keine Karte von hier; hinzufügen mit: windrode chart add PATH
ChartCaution-TideOf = Tide: nach { $station ->
    [none] der eingestellten Station
   *[other] `{ $station }`
} bis { $until }
ChartCaution-DatumsDiffer = die Zellen beziehen Tiefen auf verschiedene Kartennull; jede mit ihrer eigenen vergleichen
ChartCaution-NoDatum = Kartennull: die Zelle gibt nicht an, worauf sich ihre Tiefen beziehen
ChartCaution-Coverage = Abdeckung: `{ $name }` gibt nicht an, wo sie endet; wo sie Tiefe oder Land zeigt, gilt als abgedeckt
ChartCaution-NoScale = Maßstab: `{ $name }` gibt keinen an; wie genau sie gezeichnet ist, ist nicht bekannt
ChartCaution-Scale = Maßstab: ein halber Millimeter auf `{ $name }` sind { $by } auf dem Wasser
ChartCaution-NoSurvey = Vermessungsgüte: nicht angegeben
SearchColumn-Place = Platz
SearchColumn-Bears = peilt
SearchColumn-Off = ab
SearchColumn-Depth = Tiefe
SearchColumn-Rode = Kette
SearchColumn-Circle = Kreis
SearchColumn-Spare = Reserve
Search-Heading = Ankerplätze bis { $within } um { $centre }: { $places } Plätze geprüft, im Abstand von { $spacing }
Search-Fetch = Windwirklänge (Fetch) in Seemeilen, Wind aus: { $list }
Search-Wind = { $from ->
    [NE] NO
    [E] O
    [SE] SO
    [S] S
    [SW] SW
    [W] W
    [NW] NW
   *[N] N
}
Search-FetchFrom = { $wind } { $miles }
Search-Chart = Karte: { $cell }
Search-Rejected = Plätze, die nicht zählen: { $list }
Search-Count = { $against }: { $places }
FetchMiles-Near = { $miles }
FetchMiles-Land = { $miles }
FetchMiles-Chart = mehr als { $miles } (Kartenrand)
FetchMiles-Limit = mehr als { $miles }
SearchAgainst-Land = Land in Reichweite
SearchAgainst-Shoal = zu flach bei Niedrigwasser
SearchAgainst-UnknownDanger = Gefahr unbekannter Tiefe in Reichweite
SearchAgainst-NoChart = nicht ganz auf einer Karte
SearchAgainst-NoDepth = keine Tiefe auf der Karte
SearchAgainst-Cable = über einem Kabel
SearchAgainst-Pipe = über einer Rohrleitung
SearchAgainst-Restricted = Ankern verboten oder beschränkt
SearchAgainst-Foul = unreiner Grund, Wrack oder Hindernis in Reichweite
SearchAgainst-RodeShort = die Kette an Bord ist zu kurz für die Tiefe
SearchAgainst-CircleTooWide = der Kreis ist zu weit
SearchAgainst-Neighbour = im Kreis eines anderen Schiffs
SearchAgainst-NoPlan = keine Planung möglich
SearchReason-LeastDepth = geringste Tiefe im Kreis { $depth } laut Karte, { $keel } unter dem Kiel bei Niedrigwasser
SearchReason-ChartWrong = die Kartentiefen können um { $by } falsch sein, mehr als unter dem Kiel bleibt
SearchReason-Danger = { $room } vom Kreis zur nächsten Gefahr: { $danger }
SearchReason-NoDanger = keine Gefahr bis { $within } um den Kreis
SearchReason-Neighbour = { $room } vom Kreis zum nächsten Schiff{ $name ->
    [none] {""}
   *[other] {" "}{ $name }
}, Peilung { $bearing }, von Kreisrand zu Kreisrand
SearchReason-OpenWater = eine Seemeile oder mehr freies Wasser: { $winds }
SearchReason-SoundingAway = die Tiefe stammt von einer Lotung in { $distance } Abstand; den Platz ausloten
SearchReason-NoSounding = keine Lotung in der Nähe; die Tiefe ist die des Tiefengebiets, den Platz ausloten
SearchCaution-NoNeighbours = keine Nachbarn bekannt: umsehen
SearchCaution-NoAis = Schiffe ohne AIS sind nicht bekannt: umsehen
SearchCaution-NotJudged = Ankergrund und Schutz: nicht beurteilt; die Windwirklänge ist der Abstand zum Land auf der Karte
SearchCaution-NoneFound = hier kein Ankerplatz gefunden; anderswo suchen oder mit `--within` weiter suchen
SearchCaution-NoTide = Tide nicht angegeben: Kartennull gilt als niedrigstes und höchstes Wasser; `--tide`, `--low-water` und `--high-water` oder `--station` angeben
SearchCaution-NoAboard = Kette an Bord nicht angegeben: nicht geprüft, ob sie reicht; `--aboard` angeben
SearchCaution-AisNotHeard = kein AIS zu hören
SearchCaution-NotFromHere = Schiffe sind zu hören, aber nicht, wo sie von hier liegen: ihre Kreise zählen nicht
SearchCaution-UnderWay = { $count } der gehörten Schiffe sind in Fahrt oder nicht lange genug zu hören: sie zählen nicht
SearchCaution-NoDaemon = der Dienst antwortet nicht, daher kein AIS: Kreise mit `--neighbour` angeben

## Die Gezeiten

Unit-Miles = { $miles } sm
TurnName-High = Hochwasser
TurnName-Low = Niedrigwasser
TidePage-At = auf { $position }{ $distance ->
    [none] {""}
   *[other] , { $distance } in { $bearing } vom gefragten Ort
}
TidePage-Secondary = Anschlussort: Unterschiede zu { $name } ({ $id })
TidePage-Above = Höhen bezogen auf: { $datum } ({ $short }); Zeiten { $zone }
TidePage-NoTurns = kein Hoch- oder Niedrigwasser in dieser Zeit: die Tide ist zu klein oder der Zeitraum zu kurz
TidePage-Heights = Höhen
TidePage-Nearest = nächste Orte
TidePage-Now = jetzt { $clock }: { $height }, { $rising ->
    [yes] steigend; Hochwasser
   *[no] fallend; Niedrigwasser
} { $next }, in { $wait }; Tidenhub { $range }
TidePage-Constants = Konstanten: { $credit }.
TideZone-Utc = in UTC
TideZone-BoatsUtc = in UTC, der Bordzeit
TideZone-Boats = in Bordzeit{ $zone ->
    [none] {""}
   *[other] {" "}{ $zone }
} ({ $offset } am ersten Tag)
TideDatum-Mllw = { Datum-12 }
TideDatum-Lat = { Datum-23 }
TideDatum-Mlws = { Datum-1 }
TideDatum-Llwlt = { Datum-27 }
TideDatum-Nllw = { Datum-11 }
TideDatum-Tlt = tropisches niedrigeres Niedrigwasser
TideDatum-Msl = { Datum-3 }, kein Kartennull
TideDatum-Chart = Kartennull
TideDatum-Own = eigener Bezugshorizont
TideCaution-Far = der Ort ist { $away } entfernt: am gefragten Ort kann die Tide andere Zeiten und andere Höhen haben
TideCaution-Disagrees = { $name } ({ $id }), { $away } entfernt, hat eine andere Tide: { $by } { $earlier ->
    [yes] früher
   *[no] später
}, Tidenhub mal { $ratio }; Land, eine Barre oder eine Enge kann dazwischen liegen, daher den Ort auf der eigenen Seite nehmen
TideCaution-MeanSeaLevel = die Höhen gelten über dem mittleren Meeresspiegel: nicht zu Kartentiefen addieren
TideCaution-NoWeather = nur aus Mond und Sonne berechnet: auch Wind, Luftdruck, Regen und Eis verändern den Wasserstand, im Sturm um einen Meter und mehr
TideCaution-Margin = Kartennull und Grund verändern sich; Reserve lassen, selbst loten, amtliche Tafeln und Warnungen beachten
TideCaution-Aid = ein Hilfsmittel, kein Ersatz für gehörigen Ausguck, Ankerwache, das Urteil des Schiffsführers und örtliche Vorschriften; nicht zur Navigation
Calendar-Day = { $weekday }, { $day }. { $month } { $year }
Weekday-1 = Mo.
Weekday-2 = Di.
Weekday-3 = Mi.
Weekday-4 = Do.
Weekday-5 = Fr.
Weekday-6 = Sa.
Weekday-7 = So.
Month-1 = Jan.
Month-2 = Feb.
Month-3 = März
Month-4 = Apr.
Month-5 = Mai
Month-6 = Juni
Month-7 = Juli
Month-8 = Aug.
Month-9 = Sept.
Month-10 = Okt.
Month-11 = Nov.
Month-12 = Dez.

## Karten an Bord

ChartsKept-Added = hinzugefügt: { $cell }; { $megabytes } MB auf dem Datenträger
ChartsKept-SomeAdded = { $added } von { $all } Zellen hinzugefügt
ChartsKept-Removed = `{ $name }` ist entfernt
ChartsKept-None = keine Karten; hinzufügen mit: windrode chart add PATH
ChartsKept-Forgotten = { $count ->
    [0] keine Lotungen zu entfernen
    [one] 1 Lotung entfernt
   *[other] { $count } Lotungen entfernt
}
ChartsKept-Reading = { $done } von { $all } Zellen, noch { $left }

## Die Prüfung

Looked-Position = Position
Looked-Heading = Steuerkurs
Looked-Wind = Wind
Looked-Depth = Tiefe
Looked-Speed = Fahrt über Grund
Looked-Method = Art der Ortung
Looked-Revolutions = Drehzahl
Looked-Ais = AIS
Looked-Length = Schiffslänge
Looked-Antenna = Abstand der Antenne vom Bug
Looked-Roller = Höhe der Bugrolle
Looked-Transducer = Geber oder Tiefgang
Looked-Rode = Kette an Bord
Without-Position = ohne sie gibt es keine Ankerwache
Without-Heading = die Lage des Bugs ist nicht bekannt, Slippen wird später erkannt; die Toleranz wächst um den Abstand der Antenne vom Bug
Without-Wind = kein Alarm bei Winddrehung oder Starkwind, kein Kurs gegen den Wind
Without-Depth = kein Alarm bei zu wenig Wasser, kein Verhältnis; als Reichweite gilt die ganze Kette
Without-Speed = eine eingefrorene Position wird später erkannt
Without-Method = Koppeln ist nicht von einer echten Ortung zu unterscheiden
Without-Revolutions = normal bei stehendem Motor; hat der Server sie nie, den Einfahrtest selbst beginnen und beenden
Without-Ais = normal, wenn kein anderes Schiff in der Nähe ist
Without-Assumed = { $length } angenommen; `{ $key }` setzen
Without-Antenna = eine halbe Schiffslänge mehr Fehler; `boat.antenna_from_bow` setzen
Without-Transducer = die Wassertiefe bleibt vielleicht unbekannt; `boat.transducer_depth` setzen
CheckMargin-Fails = Fehler
CheckMargin-Limits = Mangel
CheckMargin-Note = Hinweis
CheckMargin-Works = geht
Check-Ready = BEREIT: alles, was die Wache braucht, geht
Check-ReadyWithLimits = BEREIT, mit Einschränkungen: { $count ->
    [one] 1 Mangel
   *[other] { $count } Mängel
}, siehe unten
Check-NotReady = NICHT BEREIT: { $count ->
    [one] 1 Fehler, mit dem
   *[other] { $count } Fehler, mit denen
} die Wache nicht arbeiten kann
Check-Server = Server ({ $greeting }, `{ $address }`)
Check-OnNetwork = im Netz gefunden: { $offer }
Check-Greeting = { $name } { $version }, eigenes Schiff `{ $own }`
Check-NoGreeting = keine Begrüßung
Check-MayWrite = Schreibrecht
Check-MayNotWrite = Schreibrecht: { $why }; bis dahin zeigt keine Anzeige einen Alarm
Check-TokenUnread = ohne das Token des Dienstes gefragt: { $why }; `sudo -u windrode windrode check` versuchen
Check-NoUsableValue = { $what }: kein brauchbarer Wert; { $cost }
Check-LastValueOnly = { $what }: { $listened } lang nichts Neues, der Server hat nur den letzten Wert; { $cost }
Check-NotHeard = { $what }: { $listened } lang nichts gehört; { $cost }
Check-Missing = { $what } fehlt, { $listened } lang nichts; { $cost }
Check-NotEntered = { $what } nicht angegeben: { $cost }
Check-SeveralReceivers = mehrere Empfänger geben eine Position: { $sources }; den besseren als `fix.source` angeben
Check-NoPhones = Telefone: kein Weg eingerichtet, ein Alarm ist nur an einer Anzeige zu hören
Check-PhoneWorks = Telefon `{ $channel }`
Check-PhoneFails = Telefon `{ $channel }` geht nicht: { $why ->
    [none] kein Grund genannt
   *[other] { $why }
}
Check-PhoneUntried = Telefon `{ $channel }` noch nicht versucht: `windrode check --push { $channel }` sendet einen Test
Check-Daemon = Dienst
Check-NoDaemon = hier antwortet kein Dienst: noch wacht niemand
Check-More = `windrode check --verbose` zeigt auch die Konfiguration
Check-CannotWork = so kann die Wache nicht arbeiten
Check-NoServer = der Server `{ $url }`: { $why }; läuft der Datenserver?
reason = { $why ->
    [none] {""}
   *[other] : { $why }
}
Check-Sent = `{ $channel }` hat einen Test angenommen; nachsehen, ob er am Telefon ankam und geweckt hat
Check-NotNow = `{ $channel }` nimmt ihn jetzt nicht an{ reason }
Check-Refuses = `{ $channel }` lehnt ihn ab{ reason }
Right-Open = der Server steht allen offen
Right-Granted = der Server gibt uns `{ $level }`
Right-Refused = der Server lehnt unser Token ab (`{ $words }`); Token entfernen und { -approve }
Right-NotKnown = unsere Rechte am Server sind nicht bekannt: { $why }
-renew = in den Sicherheitseinstellungen des Servers, Devices, vor der nächsten Nacht vor Anker ein neues ausstellen lassen
TokenEnd-Ended = das Token für den Server ist am { $at } abgelaufen; { -renew }
TokenEnd-Ends = das Token für den Server läuft am { $at } ab; { -renew }

## Die Fragen der Einrichtung

Ask-Language = Die Sprache von allem, was die Crew liest oder hört: `en` English, `de` Deutsch, `fr` français, `es` español.
Ask-Server = Schema, Rechner und Port des Servers.
Ask-Name = Der Schiffsname in Nachrichten an Telefone.
Ask-Length = Länge über alles.
Ask-Draught = Größter Tiefgang, von der Wasseroberfläche bis zum tiefsten Punkt des Kiels.
Ask-Roller = Höhe der Bugrolle über dem Wasser.
Ask-Antenna = Abstand der GPS-Antenne vom Vorsteven nach achtern.
Ask-Rode = Alles an Kette und Leine an Bord, zusammen.
Ask-Chain = Die Kette am Anker, nach Größe und Güteklasse.
Ask-Topic = Ein Topic auf einem Push-Server, das das Telefon abonniert. Wer es kennt, kann mitlesen.
Setup-Enter = Die Eingabetaste behält, was in eckigen Klammern steht. Längen haben eine Einheit: `1.9 m`, `6.2 ft` (mit Punkt).
Setup-AnswersGo = Die Antworten kommen in `{ $file }` und lassen sich dort ändern.
Setup-Question = { $ask } [{ $now }]:
Setup-FromServer = { $value }, vom Server
Setup-NoneYet = nichts, zum Beispiel { $example }
Setup-Unchanged = `{ $file }` bleibt, wie es ist
Setup-Written = geschrieben: `{ $file }`
Setup-Sending = ein Testalarm geht an das Telefon
Setup-AtNextStart = es gilt ab dem nächsten Start des Dienstes
Setup-Restarted = windrode wurde damit gestartet
Setup-NotRestarted = windrode wurde NICHT gestartet, jetzt wacht niemand: erst `journalctl -u windrode` ansehen, dann `sudo systemctl restart windrode`

## Die Form eines Befehls

PutTold-Context = `{ $context }` ist der Kontext eines anderen Schiffs; Befehle gelten nur für `vessels.self`
PutTold-Entries = eine Anfrage enthält `{ $count }` lesbare Einträge in `put`; einen `path` mit seinem `value` schreiben
PutTold-Unknown = `{ $path }` ist kein Befehl; die Befehle sind { $known }
PutTold-ReadOnly = `{ $path }` berechnet windrode, setzen geht nicht; die Befehle sind { $known }
PutTold-Value = `{ $command }` erhielt `{ $value }`; nötig ist { $form }
PutTold-Member = `{ $command }` kennt `{ $key }` nicht, nur { $known }
PutTold-Kind = `letGo.kind` erhielt `{ $value }`; eines angeben von { $known }
PutTold-Hazard = `{ $command }` erhielt `{ $value }`; `true` für alle oder eine Gefahr angeben: { $known }
PutTold-IdTooLong = `requestId` ist zu lang; eine UUID verwenden
PutTold-TooMany = zu viele Befehle warten auf Antwort; in einer Minute wieder versuchen
PutForm-True = `true`
PutForm-BeginOrEnd = `true` zum Beginnen oder `false` zum Beenden
PutForm-YesOrNo = `true` oder `false`
PutForm-LetGo = `true` oder ein Objekt mit `rode`, `position`, `depth`, `kind`, `radius`, `fromTrack`, `reanchored`, alle entbehrlich
PutForm-Metres = eine Zahl in Metern, mehr als 0 und weniger als 1000
PutForm-MetresOrNull = eine Zahl in Metern, mehr als 0 und weniger als 1000, oder `null`
PutForm-Place = ein Objekt mit `latitude` und `longitude` in Grad
PutForm-BerthOrNull = ein Objekt mit `latitude` und `longitude` in Grad, dazu wahlweise `scope`, `rode`, `wind`, `stay`, oder `null`
PutForm-Snubber = `true`, ein Objekt mit `at` oder `length` in Metern, oder `false`, wenn er ab ist
PutForm-Scope = eine Zahl von 1,5 bis 20 (mit Punkt schreiben)
PutForm-Wind = eine Zahl in Metern pro Sekunde, mehr als 0 und höchstens 50
PutForm-Stay = eine Zahl in Sekunden, mehr als 0 und höchstens 2592000, das sind 30 Tage
Refused-Because = abgelehnt: { $why }
Refused-NoReason = kein Grund genannt
