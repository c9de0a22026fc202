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
    [none] {" "}von der Stelle, wo er hielt
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
-check-shelter = Schutz, Platz zum Schwojen und Lage des Schiffs prüfen
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
NoFix-Wanders = bei schlechter Sicht zum Himmel wandert sie, { $by } in zehn Sekunden

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
Health-NoPhone = kein Weg zu Telefonen geht ({ $channels }): an Land wird niemand alarmiert; Internet an Bord prüfen
Health-BatteryLow = Bordbatterie schwach: { $volts }, Minimum { $least }; laden, sonst enden Wache und Alarme
Health-ClockSet = die Uhr dieses Rechners wurde vor { $ago } um { $by } { $back ->
    [yes] zurückgestellt
   *[no] vorgestellt
}; frühere Zeiten sind um so viel falsch, Tide neu prüfen
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

## Nachrichten an Telefone

Push-AlertTitle = { $boat }: { $priority }, { $hazard }
Push-NotAcknowledged = { $alert } (seit { $since }, nicht bestätigt)
Push-Stands = { $alert } (seit { $since })
Push-Acknowledged = bestätigt: { $alert } (seit { $since })
Push-GoneNotAcknowledged = vorbei, nicht bestätigt: { $alert } (seit { $since })
Push-ClearedTitle = { $boat }: { $cleared }
Push-Cleared = { $hazard }: vorbei
Push-ClearedUnwatched = { $hazard }: vorbei, kein Anker wird jetzt überwacht
Push-WeighedTitle = { $boat }: Anker gelichtet
Push-Weighed = Anker gelichtet, die Wache ist beendet; { $hazard }: nicht mehr überwacht
missed = { $count ->
    [one] { $count } Alarm
   *[other] { $count } Alarme
} ohne Netz, { $anchored ->
    [yes] vorbei
   *[no] kein Anker wird jetzt überwacht
}
Push-MissedTitle = { $boat }: { missed }
Push-Missed = { missed }: { $hazards }; von { $since } bis { $until }
Push-DarkTitle = { $boat }: nichts von der Ankerwache
Push-Dark = seit { $after } nichts von der Ankerwache: die Verbindung an Land oder die Wache selbst ist ausgefallen; jemanden beim Schiff anrufen
Push-TestTitle = { $boat }: Test, kein Alarm
Push-Test = dies ist ein Test von `{ $channel }`, so dringend wie ein Alarm, gesendet um { $clock } UTC von `windrode check`; alles ist in Ordnung
