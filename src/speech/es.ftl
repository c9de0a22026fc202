# Español. De memoria del vocabulario del oficio (SMCP de la OMI, IHM, AEMET); que lo lea un hablante nativo.

## Unidades

Unit-NauticalMiles = { $miles } millas náuticas

Aloud-Figures = cero uno dos tres cuatro cinco seis siete ocho nueve
Aloud-Degrees = { $degrees } grados
Aloud-Scope = { $scope } a uno
Aloud-Metres = { $count ->
    [one] metro
   *[other] metros
}
Aloud-Feet = { $count ->
    [one] pie
   *[other] pies
}
Aloud-Knots = { $count ->
    [one] nudo
   *[other] nudos
}
Aloud-Seconds = { $count ->
    [one] segundo
   *[other] segundos
}
Aloud-Minutes = { $count ->
    [one] minuto
   *[other] minutos
}
Aloud-Hours = { $count ->
    [one] hora
   *[other] horas
}
Aloud-Days = { $count ->
    [one] día
   *[other] días
}
Aloud-PerCent = por ciento
Aloud-Volts = { $count ->
    [one] voltio
   *[other] voltios
}

## Nombres

Hazard-dragging = el ancla garrea
Hazard-swingExceeded = fuera del círculo de borneo
Hazard-windShift = rolada del viento
Hazard-windStrength = viento fuerte
Hazard-shoaling = poca agua
Hazard-scopeShort = línea corta
Hazard-position = sin posición
Hazard-dataLink = sin servidor
Hazard-watch = la propia guardia
Hazard-instrument = instrumento perdido
Short-dragging = ancla garrea
Short-swingExceeded = fuera de círculo
Short-windShift = rolada
Short-windStrength = viento fuerte
Short-shoaling = poca agua
Short-scopeShort = línea corta
Short-position = sin posición
Short-dataLink = servidor perdido
Short-watch = guardia mermada
Short-instrument = sin instrumento
Cleared-dragging = ya no garrea
Cleared-swingExceeded = de nuevo en el círculo
Cleared-windShift = fin de la rolada
Cleared-windStrength = el viento cae
Cleared-shoaling = de nuevo agua suficiente
Cleared-scopeShort = de nuevo línea suficiente
Cleared-position = posición recuperada
Cleared-dataLink = servidor recuperado
Cleared-watch = fin de la alerta de la guardia
Cleared-instrument = instrumentos recuperados
Priority-caution = precaución
Priority-warning = advertencia
Priority-alarm = alarma
Priority-emergencyAlarm = emergencia

## Alarmas

-lookout = no se puede detectar el garreo, mantener vigía
under-way = { $under_way ->
    [yes] ; ¿en marcha? levar termina la guardia
   *[no] {""}
}
at-unseen = { $unseen ->
    [none] {""}
   *[other] {" "}(a las { $unseen })
}
Alert-Dragging = { $kind ->
    [mooring] la boya garrea
   *[other] el ancla garrea
}: { $moved } o más{ $reach ->
    [none] {" "}desde donde aguantaba
   *[other] {""}
}{ at-unseen }; la marca demora { $bearing } a { $distance }{ $antenna ->
    [yes] {" "}de la antena GPS
   *[no] {""}
}{ $reach ->
    [none] {""}
   *[other] , la línea alcanza { $reach }
}; mirar fuera, arrancar el motor{ under-way }
Alert-OutsideCircle = fuera del círculo de borneo: { $radius } del ancla{ at-unseen }, el círculo es de { $limit }; vigilar bajos y vecinos{ under-way }
Alert-OutsideLastCircle = fuera del círculo de borneo: { $radius } de la marca{ at-unseen }, el círculo más amplio es de { $limit }; vigilar bajos y vecinos{ under-way }
now-from = { $from ->
    [none] {""}
   *[other] , ahora de { $from }
}
-wind-shift = rolada del viento
-check-shelter = comprobar abrigo, borneo y cómo está fondeado el barco
Turned-Veered = { $turn } a la derecha
Turned-Backed = { $turn } a la izquierda
Alert-WindShift = { -wind-shift }: { $set } desde que el ancla agarró{ now-from }; { -check-shelter }
Alert-WindShiftAgain = { -wind-shift }: { $seen } desde el acuse, { $set } desde que el ancla agarró{ now-from }; { -check-shelter }
-check-chafe = comprobar el roce de la línea, filar más si hay sitio, motor listo
Alert-StrongWind = viento fuerte: media { $mean }{ $gust ->
    [none] {""}
   *[other] , rachas de { $gust }
}; { -check-chafe }
Alert-StrongGusts = viento fuerte: rachas de { $gust }, media { $mean }; { -check-chafe }
last-sounded = { $sounded ->
    [none] {""}
   *[other] {" "}en el último sondeo a las { $sounded }, la sonda perdió el fondo desde entonces
}
-deeper = comprobar sonda y marea, ir a aguas más profundas
Alert-NoWater = poca agua: no hay agua bajo la quilla{ last-sounded } (faltan { $short }); { -deeper }
Alert-Shoaling = poca agua: { $depth } bajo la quilla{ last-sounded }, mínimo { $least }; { -deeper }
Alert-ShoalingAtLowWater = poca agua: { $depth } bajo la quilla en bajamar donde ha borneado, mínimo { $least }; comprobar la tabla de mareas
Alert-ScopeShort = línea demasiado corta: { $scope }:1 { $when }, hace falta { $wanted }:1; filar más si hay sitio
When-Now = ahora
When-AtHighWater = en la próxima pleamar
When-InThisWind = con este viento
When-InTheLastWind = con el viento fuerte recibido por última vez
Alert-NoPosition = sin posición útil desde las { $since }: { $why }{ $anchored ->
    [yes] ; { -lookout }
   *[no] {""}
}
Alert-PositionInDoubt = posición dudosa desde las { $since }: { $why }; ambas son dudosas, mantener vigía
Alert-ServerLost = servidor Signal K perdido desde las { $since }: { $why }; { -lookout }
Alert-ServerSilent = servidor Signal K mudo desde las { $since }; { -lookout }
Alert-DisplaysBlind = las pantallas quizá no muestren nada: { $why }
Alert-InstrumentLost = { $what }: { $costs }; comprobar los instrumentos

## Por qué no hay posición

NoFix-NoData = sin datos del GPS
NoFix-NoServer = sin servidor de datos: { $why }
NoFix-Old = la última tiene { $age }
NoFix-Empty = el receptor no envía ninguna
NoFix-NullIsland = el receptor envía 0° N 0° E
NoFix-Method = { $method ->
    [noFix] el receptor dice que no tiene posición
    [deadReckoning] el receptor sigue por estima
    [manual] la posición está puesta a mano
    [simulator] el receptor está en modo simulador
    [error] el receptor da un error
   *[satellite] el receptor es dudoso
}
NoFix-Unsaid = el receptor no dice si tiene posición
NoFix-Unsafe = el receptor da su posición por insegura
NoFix-Frozen = las coordenadas están congeladas
NoFix-Jump = saltó { $by }
NoFix-Disagrees = las posiciones y la velocidad sobre el fondo difieren { $by } en medio minuto
NoFix-Wanders = con mala vista del cielo vaga, { $by } en diez segundos

## Instrumentos

Instrument-wind = anemómetro
Instrument-windDirection = veleta
Instrument-sounder = sonda
Instrument-heading = sensor de rumbo
Instrument-speed = velocidad sobre el fondo
Instrument-revolutions = revoluciones del motor
Instrument-ais = AIS
Cost-wind = no se vigilan las roladas ni la fuerza del viento
Cost-windDirection = no se vigilan las roladas del viento
Cost-sounder = no se vigilan fondo, quilla ni longitud de línea
Cost-heading = proa menos segura, el garreo se detecta más tarde
Cost-speed = un salto del GPS se distingue peor de un garreo
Cost-revolutions = la prueba de agarre no ve la carga
Cost-ais = no se ven otros buques
Loss-Flickers = { $instrument }: va y viene desde hace { $time }
Loss-NotHeard = { $instrument }: nada desde el reinicio hace { $time }
Loss-Silent = { $instrument }: sin señal desde hace { $time }
Loss-NoBottom = { $instrument }: sin fondo desde hace { $time }
Loss-NoValue = { $instrument }: sin valor desde hace { $time }
Loss-Impossible = { $instrument }: valores imposibles desde hace { $time }
Loss-Frozen = { $instrument }: señal congelada, repite un valor

## La propia guardia

Health-Changed = se cambió la guardia: { $changes }
Health-Impaired = la guardia está mermada: { $causes }
Health-Stopped = windrode se detuvo: el ancla no se vigila
Health-MayBeLost = quizá se perdió una guardia: { $why }; si el barco está fondeado, dar la posición del ancla (`windrode let-go --position`), si no, acusar recibo
Health-NoPhone = no funciona ninguna vía a los teléfonos ({ $channels }): nadie en tierra recibirá alertas; comprobar el internet de a bordo
Health-BatteryLow = batería de servicio baja: { $volts }, mínimo { $least }; cargarla o la guardia y sus alarmas se paran
Health-ClockSet = el reloj de este ordenador se { $back ->
    [yes] atrasó
   *[no] adelantó
} { $by } hace { $ago }; las horas anteriores están mal en eso, repasar la marea
Health-Unmarked = ningún ancla marcada: el barco está quieto desde hace { $lain } en { $depth } de agua y no se vigila; `letGo` empieza la guardia{ $from_track ->
    [none] {""}
   *[other] , `fromTrack` la marca donde parece estar, a { $from_track }
}
Health-WeighedAndHere = se levó hace { $gone } y el barco sigue en el mismo sitio; si el ancla está en el fondo, fondear de nuevo: no se vigila
Health-WeighedAndDrifted = se levó hace { $gone }, el motor no ha funcionado y el barco ha derivado { $moved }; si debe estar fondeado, mirar fuera y fondear de nuevo
by = { $by ->
    [terminal] en el terminal
    [server] por el servidor de datos
    [phone] desde un teléfono
   *[display] desde una pantalla
}
-if-not = si no fue nadie de a bordo,
Changed-Ended = la guardia se terminó { by }, la marca estaba en { $mark }; { -if-not } fondear de nuevo con esa `position`
Changed-SecondMarked = la segunda ancla se marcó de nuevo { by }, a { $moved } de la marca anterior
Changed-Marked = el ancla se marcó de nuevo { by }, a { $moved } de la marca anterior; { -if-not } devolverla a { $mark }
Changed-MarkMoved = la marca se movió { $moved } { by }; { -if-not } devolverla a { $mark }
Changed-CircleWidened = el círculo de borneo se amplió { by }, de { $old } a { $new }; { -if-not } restablecerlo
Changed-RodeSet = la longitud de línea se puso en { $rode } { by }, un garreo se detecta tarde; { -if-not } restablecerla

## Mensajes a los teléfonos

Push-AlertTitle = { $boat }: { $priority }, { $hazard }
Push-NotAcknowledged = { $alert } (desde las { $since }, sin acuse)
Push-Stands = { $alert } (desde las { $since })
Push-Acknowledged = con acuse: { $alert } (desde las { $since })
Push-GoneNotAcknowledged = terminada, sin acuse: { $alert } (desde las { $since })
Push-ClearedTitle = { $boat }: { $cleared }
Push-Cleared = { $hazard }: terminada
Push-ClearedUnwatched = { $hazard }: terminada, no se vigila ningún ancla
Push-WeighedTitle = { $boat }: se levó el ancla
Push-Weighed = se levó el ancla y la guardia ha terminado; { $hazard }: ya no se vigila
missed = { $count ->
    [one] { $count } alerta
   *[other] { $count } alertas
} sin conexión, { $anchored ->
    [yes] terminadas
   *[no] no se vigila ningún ancla
}
Push-MissedTitle = { $boat }: { missed }
Push-Missed = { missed }: { $hazards }; de { $since } a { $until }
Push-DarkTitle = { $boat }: sin noticias de la guardia
Push-Dark = sin noticias de la guardia de fondeo desde hace { $after }: falla el enlace con tierra o la propia guardia; llamar a alguien cerca del barco
Push-TestTitle = { $boat }: prueba, no es alerta
Push-Test = esto es una prueba de `{ $channel }`, tan urgente como una alarma, enviada a las { $clock } UTC por `windrode check`; todo está bien
