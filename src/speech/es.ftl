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
Hazard-neighbour = buque demasiado cerca
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
Short-neighbour = buque cerca
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
Cleared-neighbour = ya no hay buque cerca
Priority-caution = precaución
Priority-warning = advertencia
Priority-alarm = alarma
Priority-emergencyAlarm = emergencia

## Alarmas

-lookout = no se puede detectar el garreo, mantener la vigilancia
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
Alert-PositionInDoubt = posición dudosa desde las { $since }: { $why }; ninguna es fiable, mantener la vigilancia
Alert-PositionJumped = la posición saltó { $by }, más rápido que un barco; durante { $held } como máximo el garreo se juzga sin el salto
Alert-PositionJumps = posición dudosa: { $count } saltos en { $within }; el garreo puede avisarse tarde o en falso, mantener la vigilancia
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
NoFix-Wanders = mala vista del cielo, se desplazó { $by } en diez segundos

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
Cost-heading = sitio de la proa menos seguro, el garreo se detecta más tarde
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
Health-TokenEnds = nuestro token para el servidor { $over ->
    [yes] caducó
   *[no] caduca
} el { $day }: sin él ninguna pantalla muestra una alarma; quitar windrode de los dispositivos en los ajustes de seguridad del servidor y aprobar su nueva solicitud, o introducir un token nuevo
Health-FoundServer = conectado al servidor de `{ $name }` en `{ $url }`, encontrado en la red: si no es su barco, introducir la dirección de su servidor en `server.url` y reiniciar windrode
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

## Respuestas a las órdenes

more-than-aboard = { $aboard ->
    [none] {""}
   *[other] , más que los { $aboard } a bordo (`tackle.rode_aboard`)
}
Rode-NotEntered = , longitud de línea sin indicar: hasta `rodeOut` se supone fuera todo, { $longest }
Rode-ToVeer = , { $rode } de línea por filar{ more-than-aboard }
in-water = { $depth ->
    [none] , fondo desconocido
   *[other] , en { $depth } de agua
}
with-circle = { $circle ->
    [none] {""}
   *[other] , círculo de borneo de { $circle } al centro del barco
}
Answer-LetGo = ancla fondeada en { $position }{ $berth ->
    [none] {""}
   *[other] , a { $berth } del fondeadero previsto
}{ $rode }{ in-water }{ with-circle }{ $remarks }
Answer-MadeFast = { $kind ->
    [shoreLine] amarrado a tierra, centro del barco en
    [sternTo] amarrado de popa, centro del barco en
   *[mooring] amarrado a la boya en
} { $position }{ with-circle }{ in-water }{ $remarks }; { $not_judged }
Answer-SecondLetGo = segunda ancla fondeada en { $position }, a { $apart } de la primera{ $rode }{ $remarks }; { $not_judged }
Besides-Estimated = , estimada con { $lain } de traza, con error de { $doubt } (95 %), a { $radius } de la roldana de proa
Besides-LainAt = ; el barco está aquí desde hace { $lain }: si el ancla se fondeó antes, está hacia { $position }; fondear de nuevo con `fromTrack` la marca allí
Besides-Lain = ; el barco está aquí desde hace { $lain }: si el ancla se fondeó antes, no está bajo la proa: dar su `position`
Besides-OldFix = ; la posición es de hace { $age }, así que la marca puede tener un error de { $doubt } (95 %){ $second ->
    [yes] {""}
   *[no] {":"} corregirla con `mark` si se conoce mejor el lugar
}
Besides-BowNotKnown = ; { $heading ->
    [yes] `boat.antenna_from_bow` no está puesto
   *[no] no llega el rumbo
}, así que este es el sitio de la antena GPS, y el ancla puede estar a { $doubt }
Answer-Veered = { $rode } de línea filados{ more-than-aboard }, { $scope ->
    [none] proporción desconocida sin el fondo
   *[other] proporción { $scope }:1
}
Answer-Weighed = ancla levada tras { $lay }; la guardia ha terminado
Answer-NoBerth = ningún fondeadero previsto
Answer-Berth = fondeadero previsto en { $position }
Answer-BerthFromHere = fondeadero previsto en { $position }, demora { $bearing } a { $distance }
Answer-MarkAlready = la marca ya está en { $position }
Answer-MarkCorrected = marca corregida { $by }, a { $position }
Answer-Circle = círculo de borneo de { $radius } al centro del barco{ $outside ->
    [none] {""}
   *[other] , y el barco está ahora fuera, a { $outside } de la marca
}
Answer-CircleAsGiven = círculo de borneo otra vez como se dio con `letGo`
Answer-CircleFromRode = círculo de borneo calculado otra vez con la línea
how-many = { $count ->
    [one] una alerta
   *[other] { $count } alertas
}
Answer-HazardAcknowledged = `{ $hazard }`: con acuse de recibo
Answer-Acknowledged = con acuse de recibo: { how-many }
Answer-HazardSilenced = `{ $hazard }`: en silencio 30 s
Answer-Silenced = en silencio 30 s: { how-many }
Answer-PullBegun = prueba de agarre empezada: motor atrás, subir despacio a la carga y mantenerla un minuto o más
Answer-PullRuns = la prueba de agarre está en marcha
Answer-PhonesDoubtful = { $said }; últimamente no ha funcionado ninguna vía a los teléfonos ({ $channels }): las alertas quizá solo lleguen a las pantallas de a bordo

## Negativas

Refusal-NoFix = sin posición útil para marcar el ancla ({ $why }); dar `position`, o fondear de nuevo cuando haya posición
Refusal-NotAtAnchor = no está fondeado: primero `letGo`
Refusal-RodeTooShort = `{ $name }` = { $rode } no llega al fondo: { $depth } de agua y la roldana { $roller } por encima; filar más
Refusal-Impossible = `{ $name }` = { $value } está fuera de límites; dar de { $least } a { $most }
Refusal-NoRadius = `kind` = `{ $kind }` no tiene línea para calcular un círculo: dar `radius`, al centro del barco
Refusal-Misplaced = `{ $member }` no tiene sentido con `kind` = `{ $kind }`; quitarlo
Refusal-NoFirst = ninguna primera ancla marcada; fondear la primera sin `kind`
-no-track = la traza no dice dónde está el ancla:
Refusal-NotLain = { -no-track } el barco no lleva quieto { $after }; dar `position`
Refusal-NotSwung = { -no-track } en { $lain } no ha borneado bastante, o no como piden línea y fondo; dar `position`
Refusal-NoPull = no hay prueba de agarre para `{ $kind }`
Refusal-NoTest = ninguna prueba de agarre en marcha; `pullTest` = `true` empieza una
Refusal-Marked = el barco está { $moored ->
    [yes] amarrado
   *[no] fondeado
} desde las { $since } UTC{ $away ->
    [none] {""}
   *[other] , la marca está a { $away } de la proa
}; primero `weigh`, o `reanchored` si se fondeó de nuevo, o `kind` = `secondAnchor` para otra ancla más
Refusal-MarkedSecond = ya hay una segunda ancla marcada, a { $apart } de la primera; añadir `reanchored` si se fondeó de nuevo
Refusal-TooFar = `{ $name }` está a { $distance } { $from_mark ->
    [yes] de la marca
   *[no] del barco
}, el límite es { $limit }; comprobar latitud y longitud, oeste y sur son negativos
Refusal-NoAlert = ninguna alerta de la que acusar recibo o que silenciar
Refusal-AcknowledgedAlready = ya tiene acuse de recibo
Refusal-Emergency = una alarma de emergencia no se silencia; acusar recibo

## La historia

PhaseName-aweigh = ancla levada
PhaseName-setting = agarrando
PhaseName-set = el ancla aguanta
PhaseName-dragging = el ancla garrea
Note-Phase = { $phase }: { $how }
Note-Moves = el ancla se mueve
Note-Holds = el barco ha estado quieto { $quiet }: el ancla aguanta
Note-HoldsElsewhere = el ancla aguanta de nuevo; estaría a { $moved } de la marca anterior, al { $bearing } de ella, con error de { $doubt }
Note-WithinReach = el barco está de nuevo al alcance de su ancla
goes-on = la guardia sigue tras un reinicio ({ $phase }): a ciegas
Note-GoesOn = { goes-on } desde las { $since } UTC, durante { $blind }
Note-GoesOnClockBack = { goes-on } por un tiempo desconocido: el reloj retrocedió
Note-GoesOnUnknown = { goes-on } por un tiempo desconocido
Note-OtherReceiver = la posición viene ahora de `{ $source }`, `{ $before }` no da ninguna útil; difieren { $apart }
Note-ShownAgain = alguien puso la notificación `{ $hazard }` en normal en el servidor aunque sigue; se muestra de nuevo
Note-Silenced = en silencio 30 s: { $alert }
Note-GoneNotAcknowledged = terminada, sin acuse: { $alert }

## La prueba de agarre

Verdict-held = aguanta
Verdict-yielding = garrea a motor
Verdict-cannotTell = sin decidir
PullTest-Held = prueba de agarre: { Verdict-held }: { $why }
PullTest-Yielding = prueba de agarre: { Verdict-yielding }: { $why }; filar más y repetir, o levar
PullTest-CannotTell = prueba de agarre: { Verdict-cannotTell }: { $why }; no fiarse
under-load = { $rpm ->
    [none] con el tiro
   *[other] a { $rpm } rpm
}
Pull-NoLoad = todavía sin carga; hacen falta al menos { $needed } rpm
Pull-TooShort = { $held } s de carga estable, hacen falta { $needed } s
Pull-NotSteady = la carga no fue estable, { $changes } cambios; mantener el mismo régimen { $needed } s
Pull-NoPosition = sin posición útil mientras tiraba el motor
Pull-Moved = movido { $figures } { under-load }
Pull-MovedNone = sin movimiento más allá del error del GPS ({ $figures }) { under-load }
Pull-TowardsAnchor = movido { $figures }, hacia el ancla: el tiro no va a la línea
Pull-StillMoves = movido { $figures } y sigue hacia atrás; mantener la carga
Pull-Uncertain = movido { $figures }, demasiado incierto; mantener la carga más tiempo
Pull-Figures = { $moved } ± { $doubt } { $ahead ->
    [yes] avante
   *[no] atrás
} en { $seconds } s

## Observaciones

Remark-NotJudged = { $kind ->
    [secondAnchor] dos anclas: no se sabe cuál garrea mientras el barco está al alcance de ambas
    [mooring] en boya: su tren de fondeo no se comprueba; un garreo solo se ve fuera del círculo indicado
    [shoreLine] con cabos a tierra: no se vigilan garreo ni longitud de línea, solo el círculo indicado
   *[sternTo] de popa al muelle: un ancla que garrea hacia el muelle no se ve en ninguna posición; solo se vigila el círculo indicado
}
Remark-NotSettled = aún no agarrada: en los últimos { $settle }, { $moved } { $farther ->
    [yes] más lejos de la marca
   *[no] más cerca de la marca
}
Remark-SecondAnchor = segunda ancla en { $position }, su línea alcanza { $reach }
Remark-RodeAssumed = longitud de línea sin indicar: se supone fuera todo, { $rode }, un garreo se detecta tarde; indicarla con `veer`
Remark-Counter = línea filada según el contador: { $rode }
Remark-CounterIgnored = contador de cadena ignorado: sus { $rode } no llegan al fondo
Remark-Tide = marea { $tide }
Remark-TideAndSoundings = marea { $tide }; la sonda da { $surge } { $less ->
    [yes] menos
   *[no] más
}
Remark-NoTide = sin marea: línea y quilla comprobadas solo para el fondo actual
Remark-NoDraught = calado sin poner: agua bajo la quilla sin comprobar; poner `boat.draught`
Remark-NoDepth = fondo desconocido: alcance igual a toda la línea, proporción sin comprobar
Remark-NoWindAtSet = sin viento conocido cuando el ancla agarró: no se vigilan las roladas
Remark-NoHeading = sin rumbo: sitio de la proa desconocido; el margen crece en su distancia a la antena
Remark-NoAntenna = sitio de la antena sin poner: `boat.antenna_from_bow`; media eslora más de error
Remark-NoTransducer = referencia de la sonda desconocida: poner `boat.transducer_depth` o `boat.draught`
Remark-FixInDoubt = GPS dudoso: { $doubts }; garreo vigilado con más margen
Doubt-Satellites = { $count ->
    [one] { $count } satélite
   *[other] { $count } satélites
}
Doubt-Geometry = mala geometría ({ $dilution })
Doubt-Caution = el receptor pide precaución
Doubt-Scatter = posiciones dispersas en { $by }
Doubt-Apart = { $by } entre posiciones y velocidad
TideBy-Server = según el servidor de datos: { $words }
TideBy-Prediction = predicha: { $words }
TideBy-Typed = como se indicó
tide-at = { $time ->
    [none] {""}
   *[other] {" "}a las { $time }
}
TideWords-High = pleamar { $height }{ tide-at }
TideWords-Low = bajamar { $height }{ tide-at }
TideWords-NoHigh = pleamar sin dato
TideWords-NoLow = bajamar sin dato
TideWords-Server = { $high }, { $low }; las siguientes no se conocen
TideWords-Station = { $station }, hasta las { $until }: la más alta { $highest } a las { $highest_at }, la más baja { $lowest } a las { $lowest_at }

## Mensajes a los teléfonos

Push-AlertTitle = { $boat }: { $priority }, { $hazard }
Push-AcknowledgedTitle = { $boat }: con acuse, { $hazard }
Push-GoneTitle = { $boat }: { $hazard }: terminada, sin acuse
Push-NotAcknowledged = { $alert } (desde las { $since }, sin acuse)
Push-Stands = { $alert } (desde las { $since })
Push-ClearedTitle = { $boat }: { $cleared }
Push-Cleared = { $priority }: terminada
Push-ClearedUnwatched = { $priority }: terminada, no se vigila ningún ancla
Push-WeighedTitle = { $boat }: se levó el ancla
Push-Weighed = la guardia ha terminado; { $hazard }: ya no se vigila
missed = { $count ->
    [one] { $count } alerta
   *[other] { $count } alertas
} sin conexión, { $anchored ->
    [yes] { $count ->
        [one] terminada
       *[other] terminadas
    }
   *[no] no se vigila ningún ancla
}
Push-MissedTitle = { $boat }: { missed }
Push-Missed = { $hazards }; de { $since } a { $until }
Push-DarkTitle = { $boat }: sin noticias de la guardia
Push-Dark = muda desde hace { $after }: falla el enlace con tierra o la propia guardia; llamar a alguien cerca del barco
Push-TestTitle = { $boat }: prueba, no es alerta
Push-Test = enviado por `{ $channel }` a las { $clock } UTC por `windrode check`, tan urgente como una alarma; todo está bien

DrillTold-Mark = EJERCICIO
DrillTold-Message = { DrillTold-Mark }: { $message }

## El estado

PhaseName-moored = amarrado
Label-wind = viento
Label-windDirection = viento de
Label-sounder = fondo
Label-heading = rumbo
Label-speed = velocidad
Label-revolutions = motor
Label-ais = AIS
Row-Anchor = ancla
Row-Mooring = boya
Row-Reach = alcance
Row-Circle = círculo
Row-Snubber = amortig.
Row-Dragging = garreo
Row-PullTest = agarre
Row-Wind = viento
Row-Depth = fondo
Row-Berth = puesto
Row-Approach = entrada
Row-Way = arrancada
Row-Vessel = buque
Row-Plan = plan
Row-Room = espacio
Row-Fix = posición
Row-Server = servidor
Row-Journal = diario
Row-Phone = teléfono
ago = { $ago ->
    [none] {""}
   *[other] , hace { $ago }
}
state = { $state ->
    [unacknowledged] , sin acuse
    [silenced] , en silencio, sin acuse
    [acknowledged] , con acuse
    [gone] , terminada, sin acuse
    [normal] , terminada
   *[shown] {""}
}
Status-Headline = { $phase }{ $since ->
    [none] {""}
   *[other] {" "}desde { $since } ({ $ago })
}
Status-NoAlerts = sin alertas
Status-Alert = { $priority }{ state }, desde { $since }
Status-AlertInShort = { $priority }{ state }: { $hazard }
Status-WhenSeen = cuando la haya visto: `windrode acknowledge { $hazard }`
Status-AnchorBears = demora { $bearing } a { $distance } de la { $antenna ->
    [yes] antena GPS
   *[no] roldana de proa
}{ ago }
Status-AnchorAt = { $position }{ $depth ->
    [none] {""}
   *[other] , fondeada en { $depth }
}
Status-Reach = { $reach } ({ $rode ->
    [none] longitud sin indicar
   *[other] { $rode } de línea filados
}{ $scope ->
    [none] {""}
   *[other] , proporción { $scope }:1{ $let_go ->
        [yes] {" "}según el fondo al fondear
       *[no] { ago }
    }
})
Status-Circle = { $circle } en torno { $mooring ->
    [yes] a la boya
   *[no] al ancla
}{ $radius ->
    [none] {""}
   *[other] ; barco { $ago ->
        [none] {""}
       *[other] visto{" "}
    }a { $radius }{ ago }
}
Status-Drag = { $percent ->
    [none] más del 99
   *[other] { $percent }
} % probable, { $beyond ->
    [none] al alcance
   *[other] { $beyond } fuera de alcance
}{ ago }
Status-PullTest = { $verdict }: { $why }
Status-Wind = { $from } { $speed }{ $gust ->
    [none] {""}
   *[other] , rachas de { $gust }
}{ $shift ->
    [none] {""}
   *[other] , { $shift } desde que el ancla agarró
}{ ago }
Status-Depth = { $depth } de agua{ ago }
Status-Berth = demora { $bearing } a { $distance }{ $time ->
    [none] {""}
   *[other] , faltan { $time }
}{ ago }
Status-Approach = proa al viento es { $course }{ ago }{ $off ->
    [none] {""}
   *[other] , { $off } a { $port ->
        [yes] babor
       *[no] estribor
    } de la línea al fondeadero
}
Status-Fix = con error de { $doubt } (95 %), de `{ $source }`
Status-NoFix = SIN POSICIÓN: no se puede detectar el garreo{ $ago ->
    [none] {""}
   *[other] ; la última hace { $ago }
}
Status-NotHeard = nada desde que arrancó windrode
Status-Failing = { $what ->
    [noBottom] sin fondo
    [noValue] sin valor
    [impossible] valores imposibles
    [frozen] señal congelada
   *[silent] sin señal
} desde hace { $time }
Status-Phone = `{ $channel }` { $state ->
    [untried] aún sin probar
    [working] funciona
    [failing] FALLA
   *[refused] RECHAZADO
}{ $worked ->
    [none] {""}
   *[other] , funcionó hace { $worked }
}{ $waiting ->
    [0] {""}
    [one] , { $waiting } mensaje espera
   *[other] , { $waiting } mensajes esperan
}{ $trouble ->
    [yes] ; `windrode check` dice por qué
   *[no] {""}
}
Status-Caution = Una ayuda: no sustituye la vigilancia ni la guardia. No sirve para navegar.
Screen-Server = servidor { $link }
Screen-NoAnswer = SIN RESPUESTA de windrode desde las { $since }
Screen-IsItRunning = ¿Está en marcha? `systemctl status windrode`
Screen-NotWatched = Quizá el ancla no se vigile. Mantener la vigilancia.
Screen-NoFigures = No se muestra ningún valor, porque ninguno es actual.
Screen-NoAnchor = ningún ancla marcada
Screen-NoBoat = sin posición: barco no mostrado
Screen-NorthUp = el norte está arriba
Screen-More = más: windrode status
Screen-Keys = a acusar recibo   s silencio 30 s   q salir

## La imagen

Picture-Title = { $phase }, sin alertas
Picture-AlertTitle = { $priority }: { $hazard }
Picture-NotWatched = el ancla no se vigila
Picture-Since = desde las { $since }, { $time }
Picture-SinceUnknown = no se sabe desde cuándo
Picture-Also = también { $hazards }
Picture-AnchorFrom = ancla desde { $antenna ->
    [yes] antena
   *[no] proa
}
Picture-BerthFrom = fondeadero, { $antenna ->
    [yes] de antena
   *[no] de proa
}
Picture-TimeToBerth = falta para llegar
Picture-WindFrom = viento de
Picture-HeadToWind = proa al viento
Picture-Depth = fondo
Picture-DepthAndScope = fondo, proporción
Picture-Reach = alcance
Picture-Circle = círculo de borneo
Picture-Fix = posición, 95 %
Picture-Vector = { $distance } { $bearing }{ ago }
Picture-Wind = { $speed } { $from }{ ago }
Picture-DepthAgo = { $depth }{ ago }
Picture-FixDoubt = ±{ $doubt }
Picture-NoFixFor = nada desde { $time }
Picture-NotKnown = sin dato
Picture-Aid = Una ayuda, no sustituye al vigía.
Picture-NotForNavigation = No sirve para navegar.
Picture-NoPlace = ningún lugar conocido
Picture-Seen = visto hace { $ago }
Picture-NoHeading = sin rumbo
Picture-BerthLabel = fondeadero
Picture-CircleLabel = círculo { $radius }
Picture-PlannedLabel = previsto { $radius }
Picture-LeastLabel = mínimo { $depth }
Picture-ReachLabel = alcance { $radius }
Picture-OneHour = 1 h
Picture-Now = ahora

## En la carta de las pantallas

Drawing-Circle = Círculo de borneo
Drawing-CircleText = El centro del barco queda a menos de { $radius } del ancla
Drawing-Anchor = Ancla
Drawing-AnchorText = Donde se supone que está el ancla
Drawing-Berth = Fondeadero
Drawing-BerthText = Posición prevista del ancla

## La aproximación

Approaching-TurnUp = poner proa al viento ahora: rumbo { $course }; el fondeadero está a { $beyond } a barlovento, la arrancada es de { $carries }
over-berth = sobre el fondeadero ({ $distance }): fondear
Approaching-LetGo = { over-berth }
Approaching-LetGoStopped = { over-berth }; el barco está parado
Approaching-LetGoMoving = { over-berth }; { $speed } sobre el fondo, le quedan { $carries } de arrancada{ $stop ->
    [yes] ; pararlo primero
   *[no] {""}
}
Approaching-Passed = fondeadero rebasado: demora { $bearing } a { $distance }; dejar que caiga hacia atrás o dar otra vuelta
Approaching-StopEngine = parar el motor: a { $speed } la arrancada es de { $carries }, el fondeadero está a { $distance } (práctica común)
Approaching-SlowDown = más despacio: { $speed }; no más de { $limit } a menos de { $within } del fondeadero (práctica común)
WayBy-entered = como se indicó
WayBy-learned = aprendida de la traza
WayBy-assumed = supuesta: dos esloras desde 2 kn; indicar `boat.way`
Status-Way = arrancada de { $carries } con el motor parado, { $by }; aproarse otro tanto más allá del fondeadero

## Otros buques

Alert-Neighbours = { $first }{ $also }{ $more ->
    [0] {""}
   *[other] ; y { $more } más
}{ $unseen ->
    [none] {""}
   *[other] {" "}(desde nuestra última posición, a las { $unseen })
}; { $danger ->
    [leaves] mirar fuera, despertar a su tripulación, arrancar el motor
    [passes] mirar fuera, mostrar una luz
   *[liesCloser] mirar fuera, defensas listas, acortar o cambiar de sitio
}
heard-ago = { $heard ->
    [none] {""}
   *[other] {" "}(oído hace { $heard })
}
Vessel-Leaves = vecino que garrea o navega: { $name } dejó su sitio, a { $off }, demora { $bearing }{ $after ->
    [none] {""}
   *[other] , se acerca a { $closing }, { $least ->
        [none] puede tocar
       *[other] pasa a { $least }
    } en { $after }
}{ heard-ago }
Vessel-Passes = buque que pasa cerca: { $name } { $least ->
    [none] puede tocar
   *[other] llega a { $least }
} en { $after }; ahora a { $off }, demora { $bearing }, se acerca a { $closing }{ heard-ago }
Vessel-LiesCloser = vecino más cerca: { $name } está a { $off }, demora { $bearing }, más cerca que antes{ heard-ago }
Vessel-Also = ; también { $name }, a { $off } al { $bearing }
Vessel-Row = demora { $bearing } a { $distance }, { $doing ->
    [atAnchor] fondeado
    [moored] amarrado
    [leftHerPlace] dejó su sitio
   *[underWay] en marcha
}{ $speed ->
    [none] {""}
   *[other] {" "}a { $speed }
}, oído hace { $heard }{ $circle ->
    [none] {""}
   *[other] ; su círculo { $circle } ({ $assumed ->
        [yes] supuesto
       *[no] por su traza
    })
}{ $rooms ->
    [yes] , espacio { $together ->
        [none] ninguno
       *[other] { $together }
    } borneando juntos, { $worst ->
        [none] ninguno
       *[other] { $worst }
    } en el peor caso
   *[no] {""}
}
Alert-MayDrag = { $kind ->
    [mooring] la boya
   *[other] el ancla
} quizá garrea, al { $percent } %; la marca demora { $bearing } a { $distance }; mirar la posición
Changed-Snubber = el amortiguador se indicó en otro sitio { by }, un garreo se detecta tarde; { -if-not } indicarlo de nuevo
Answer-StillOn = { $said }; el amortiguador está a { $at } de línea y el barco tira de { $drawn }: indicarlo de nuevo si se movió o se quitó
Answer-SnubberOff = amortiguador quitado{ $rode ->
    [none] {""}
   *[other] : el barco tira de { $rode } de línea
}
Answer-SnubberOn = amortiguador a { $at } de línea, de { $length }: el barco tira de { $drawn }{ $scope ->
    [none] {""}
   *[other] , proporción { $scope }:1
}{ $short ->
    [yes] ; filar al menos { $drawn }, o trabaja la cadena y no el amortiguador
   *[no] {""}
}
Refusal-NoHook = no se sabe la línea del ancla al gancho; darla con `at`
Refusal-NoSnubberLength = no se sabe la longitud del amortiguador; darla con `length`, o para siempre con `tackle.snubber_length`
Refusal-HookBeyond = `at` = { $at } es más que los { $rode } de línea filados; indicar primero la línea
Remark-Seldom = posición solo cada { $every }: un garreo se ve tarde
Status-BerthFromAnchor = a { $distance } del ancla, al { $bearing } de ella
Status-Snubber = a { $at } de línea, de { $length }: el barco tira de { $drawn }

## Cartas, en los términos de la OHI S-57 y de INT 1

Class-ACHBRT = puesto de fondeo
Class-ACHARE = fondeadero
Class-CBLARE = zona de cables
Class-CBLSUB = cable submarino
Class-CTNARE = zona de precaución
Class-COALNE = línea de costa
Class-DAMCON = presa
Class-DEPARE = área de profundidad
Class-DEPCNT = veril
Class-DRGARE = área dragada
Class-DMPGRD = vertedero
Class-FAIRWY = canal
Class-FSHFAC = artes de pesca fijas
Class-FLODOC = dique flotante
Class-HULKES = pontón
Class-LNDARE = tierra
Class-MARCUL = vivero
Class-MIPARE = zona de ejercicios militares
Class-MORFAC = instalación de amarre
Class-OBSTRN = obstrucción
Class-OFSPLF = plataforma
Class-PILPNT = pilote
Class-PIPARE = zona de tuberías
Class-PIPSOL = tubería submarina
Class-PONTON = pantalán
Class-RESARE = zona restringida
Class-SLCONS = muelle, muro o rompeolas
Class-SOUNDG = sonda
Class-UWTROC = piedra
Class-UNSARE = zona sin levantar
Class-WRECKS = naufragio
Class-M_COVR = cobertura
Class-M_QUAL = calidad del levantamiento
Restriction-1 = prohibido fondear
Restriction-2 = fondeo restringido
Restriction-3 = prohibido pescar
Restriction-4 = pesca restringida
Restriction-5 = prohibido el arrastre
Restriction-6 = arrastre restringido
Restriction-7 = prohibida la entrada
Restriction-8 = entrada restringida
Restriction-9 = prohibido dragar
Restriction-10 = dragado restringido
Restriction-11 = prohibido bucear
Restriction-12 = buceo restringido
Restriction-13 = navegar sin levantar olas
Restriction-14 = zona a evitar
Restriction-15 = prohibido construir
Restriction-16 = prohibido verter
Restriction-17 = vertidos restringidos
Restriction-18 = exploración o explotación industrial o minera prohibida
Restriction-19 = exploración o explotación industrial o minera restringida
Restriction-20 = prohibido perforar
Restriction-21 = perforación restringida
Restriction-22 = prohibido extraer objetos históricos
Restriction-23 = prohibido el transbordo
Restriction-24 = prohibido arrastrar por el fondo
Restriction-25 = prohibido detenerse
Restriction-26 = prohibido desembarcar
Restriction-27 = velocidad restringida
Datum-1 = bajamar media de sicigias
Datum-2 = bajamar inferior media de sicigias
Datum-3 = nivel medio del mar
Datum-4 = bajamar más baja
Datum-5 = bajamar media
Datum-6 = bajamar más baja de sicigias
Datum-7 = aproximadamente la bajamar media de sicigias
Datum-8 = bajamar india de sicigias
Datum-9 = bajamar de sicigias
Datum-10 = aproximadamente la bajamar astronómica más baja
Datum-11 = casi la bajamar más baja
Datum-12 = bajamar inferior media
Datum-13 = bajamar
Datum-14 = aproximadamente la bajamar media
Datum-15 = aproximadamente la bajamar inferior media
Datum-16 = pleamar media
Datum-17 = pleamar media de sicigias
Datum-18 = pleamar
Datum-19 = aproximadamente el nivel medio del mar
Datum-20 = pleamar de sicigias
Datum-21 = pleamar superior media
Datum-22 = bajamar de sicigias equinocciales
Datum-23 = bajamar astronómica más baja
Datum-24 = cero local
Datum-25 = cero internacional de los Grandes Lagos 1985
Datum-26 = nivel medio del agua
Datum-27 = bajamar inferior de mareas vivas
Datum-28 = pleamar superior de mareas vivas
Datum-29 = casi la pleamar más alta
Datum-30 = pleamar astronómica más alta
Sureness-1 = profundidad conocida
Sureness-2 = profundidad desconocida
Sureness-3 = sonda dudosa
Sureness-4 = sonda poco fiable
Sureness-5 = sin fondo al valor indicado
Sureness-6 = profundidad mínima conocida
Sureness-7 = profundidad mínima desconocida, libre hasta el valor indicado
Sureness-8 = valor comunicado (sin levantar)
Sureness-9 = valor comunicado (sin confirmar)
Sureness-10 = profundidad mantenida
Sureness-11 = sin mantenimiento regular
WaterLevel-1 = en parte sumergido en pleamar
WaterLevel-2 = siempre seco
WaterLevel-3 = siempre sumergido
WaterLevel-4 = cubre y descubre
WaterLevel-5 = a flor de agua
WaterLevel-6 = inundable
WaterLevel-7 = flotante
Height-Depth = { $at }
Height-Drying = descubre { $by }
Charted-Between = { $class } { $least } a { $most }
Charted-At = { $class } { $depth }
Charted-NoDepth = { $class } sin profundidad
Charted-UnknownDepth = { $class }, profundidad desconocida
Charted-FoulGround = fondo sucio
Charted-Named = { $what } ({ $name })
Charted-Ruled = { $what }: { $rules }
Charted-Code = código { $number } de { $attribute }
Place-Centre = { $what }, en el centro
Place-Off = { $what }, a { $distance } al { $bearing } del centro
Share-All = el 100 %
Share-MoreThan99 = más del 99 %
Share-LessThan1 = menos del 1 %
Share-Part = el { $percent } %
Against-Solid = no todo es agua: { $what }
Against-Grounds = toca fondo en bajamar, faltan { $by }: { $what }
Against-GroundsAtLowWater = toca fondo en bajamar, faltan { $by }: { $what }; ahora { $left } bajo la quilla allí
Against-MarginShort = { $left } bajo la quilla en bajamar, mínimo { $margin }: { $what }
Against-UnknownDanger = peligro de profundidad desconocida: { $what }{ $count ->
    [one] {""}
   *[other] ; { $count } peligros así en total
}
Against-NotCovered = { $share } del círculo no está en ninguna carta; no se sabe qué hay allí
Against-NoDepth = la carta no da profundidad para { $share } del círculo
Against-Touches = el círculo toca: { $what }
Against-Foul = bastante agua para la quilla, pero el ancla puede enredarse: { $what }
Sheet-Cell = { $name }, { $scale ->
    [none] escala sin indicar
   *[other] 1:{ $scale }
}, { $datum ->
    [none] cero hidrográfico sin indicar
   *[other] cero hidrográfico: { $datum }
}{ $edition ->
    [none] {""}
   *[other] , edición { $edition }
}{ $update ->
    [none] {""}
   *[other] , corrección { $update }
}{ $issued ->
    [none] {""}
   *[other] , de { $issued }
}
Sheet-Told = { $cell }{ $count ->
    [0] {""}
   *[other] , y { $count } más
}, calidad del levantamiento { $survey ->
    [none] sin indicar
   *[other] { $survey }
}
on-chart = { $chart ->
    [none] {""}
   *[other] {" "}(carta { $chart })
}
by-own = { $own ->
    [none] {""}
   *[other] {" "}según la sonda propia ({ $own })
}
RoomToSwing-Clear = borneo libre según la carta{ $least ->
    [none] {""}
   *[other] , profundidad mínima { $least } en bajamar{ by-own }
}{ on-chart }
-not-clear = borneo NO LIBRE
RoomToSwing-NotClear = { -not-clear }: { $reasons }{ on-chart }
RoomToSwing-NotClearHere = { -not-clear } alrededor del ancla: { $reasons }; mejor fondear de nuevo ahora{ on-chart }
RoomToSwing-NotRead = la carta aún no se ha leído; lo que dice vendrá después
RoomToSwing-NoCharts = no hay cartas a bordo: borneo sin comprobar{ $own ->
    [none] {""}
   *[other] ; la menor sonda propia allí: { $own }; las sondas solo valen donde el barco ha pasado
}
RoomToSwing-Unreadable = borneo sin comprobar: las cartas no se pueden leer, el registro dice por qué
RoomToSwing-NotSized = sin círculo: la carta no da profundidad en el fondeadero y no hay datos de la sonda
Planning-Circle = { $depth }; línea { $rode }{ $scope }{ $may_be_deeper ->
    [yes] { $by_soundings ->
        [yes] ; esta línea vale para la sonda menor y puede ser DEMASIADO CORTA, sondar el fondeadero antes de fondear
       *[no] ; la carta no da allí profundidad máxima: esta línea vale para la mínima y puede ser DEMASIADO CORTA, sondar el fondeadero antes de fondear
    }
   *[no] {""}
}{ $aboard ->
    [none] {""}
   *[other] , NO HAY BASTANTE A BORDO: { $aboard }
}; { $circle ->
    [none] esa línea no llega al fondo
   *[other] círculo de { $circle } a la popa
}
with-scope = { $scope ->
    [none] {""}
   *[other] , proporción { $scope }
}
Planning-ScopeAsAsked = {" "}como se pidió{ with-scope }
Planning-Scope = { with-scope }, prevista { $planned }: { $why }
Planning-DepthWithTide = { $by }; { $high } de agua en pleamar, { $low } en bajamar
Planning-ChartedNoTide = { $by }, marea desconocida
Planning-SoundedNoTide = { $by }; { $depth } de agua, marea desconocida
sounded-there = { $own ->
    [none] {""}
   *[other] {" "}(sondado allí: { $own })
}
Planning-Charted = profundidad en la carta { $least } { $most ->
    [none] o más
   *[other] a { $most }
}{ sounded-there }
Planning-ChartedAt = profundidad en la carta { $depth }{ sounded-there }
Planning-SoundedBefore = ya sondado allí: { $least }{ $shoalest ->
    [none] {""}
   *[other] , la menor sonda { $shoalest }
}; ninguna carta da la profundidad
Planning-Sounded = profundidad sondada aquí, no está en la carta
Sounded-On = el { $day }, { $tide }
Sounded-Depth = { $depth } { $on }
Sounded-Own = sonda propia { $what }
Sounded-InCircle = sondas propias: { $squares ->
    [one] un cuadro de 5 m
   *[other] { $squares } cuadros de 5 m
} en el círculo, la menor { $shoalest }; las sondas solo valen donde el barco ha pasado
ReducedBy-Station = marea de { $name }
ReducedBy-Server = marea del servidor de datos
ScopeWhy-AsAsked = como se pidió
ScopeWhy-Storm = { $wind } de viento son temporal
ScopeWhy-Strong = { $wind } de viento son fuertes
ScopeWhy-HoldingUnknown = no se conoce el tenedero
ScopeWhy-HoldingPoor = mal tenedero
ScopeWhy-ChainTooShort = la cadena es corta, hay cabo en la roldana
ScopeWhy-HoldingGood = buen tenedero, sin viento fuerte
shoal-share = { $share ->
    [none] {""}
   *[other] {" "}en { $share } del círculo
}
Alert-ShoalingCharted = poca agua en el borneo{ shoal-share }: { $reasons ->
    [none] poco más del mínimo bajo la quilla
   *[other] { $reasons }
}; acortar la línea o cambiar de sitio antes de la bajamar{ on-chart }
Status-Chart = { $told }
Remark-Chart = { $room }

## Causas técnicas

LinkFault-NotConnectedYet = aún sin conexión con el servidor
LinkFault-NotAnswering = el servidor Signal K no responde
LinkFault-NoConnection = sin conexión con el servidor; el registro dice por qué
LinkFault-ServerClosed = el servidor cerró la conexión
LinkFault-Status = el servidor respondió a la conexión con el estado `{ $status }`
LinkFault-NoHello = el servidor no se presentó en 10 s; ¿es un servidor Signal K?
LinkFault-NoPong = el servidor no respondió a un ping en 15 s
LinkFault-Silent = el servidor no envía nada desde hace 70 s
LinkFault-Reconnecting = nueva conexión con nuevos permisos
-approve = aprobar `windrode` en los ajustes de seguridad del servidor, Access Requests, con `readwrite`
LinkFault-TokenRefused = el servidor rechaza nuestro token; quitar el token y { -approve }
LinkFault-TokenUnreadable = el archivo del token no se puede leer, el registro dice por qué
LinkFault-CertificateChanged = el certificado del servidor no es el que conocemos: puede ser el servidor de otro barco; el registro dice qué hacer
LinkFault-TrustUnreadable = lo que windrode guardó del certificado del servidor no se puede leer; el registro dice qué hacer
LinkFault-TokenExpired = nuestro token para el servidor ha caducado; { -approve }
LinkFault-GivenTokenExpired = el token de la configuración ha caducado; introducir uno nuevo, o quitarlo y { -approve }
LinkFault-ServerNotFound = ningún servidor Signal K responde en este ordenador y no se encontró ninguno en la red; arrancarlo, o introducir su dirección en `server.url`
LinkFault-ServersUnknown = se encontraron servidores Signal K en la red, pero windrode no sabe cuál es el de este barco: `windrode check` los muestra; introducir el correcto en `server.url`
LinkFault-OtherServers = el servidor de este barco no se encontró en la red, solo otros: `windrode check` los muestra; si uno de ellos es el de este barco, introducirlo en `server.url`
LinkFault-ServerNotSecure = el servidor de este barco se encontró sin cifrado, pero antes estaba cifrado: otro ordenador puede hacerse pasar por él; el registro dice qué hacer
LinkFault-ServerReticent = el servidor encontrado en `{ $url }` no dice quién es sin token; si es el de este barco, introducirlo en `server.url`
LinkFault-AccessDenied = el acceso al servidor fue denegado; para pedirlo de nuevo, reiniciar windrode y { -approve }
LinkFault-ReadOnly = el servidor solo nos deja leer; dar a windrode el permiso `readwrite` en los ajustes de seguridad del servidor, Devices
LinkFault-Unknown = el servidor no nos conoce; { -approve }
LinkFault-NothingComesBack = lo que enviamos no vuelve del servidor; comprobar que nuestro token tiene el permiso `readwrite` y que ningún otro cliente publica como `{ $label }`
LinkFault-AlarmsNotShown = el servidor no muestra nuestras alarmas: `{ $path }`{ $count ->
    [0] {""}
   *[other] {" "}y { $count } más
} sin eco en 25 s; comprobar que nuestro token puede escribir y leer `notifications.*` en el servidor
LinkFault-Told = { $words }
JournalFault-DiskFull = disco lleno: no se puede escribir el diario; liberar espacio
JournalFault-ReadOnly = disco de solo lectura: no se puede escribir el diario; revisar la tarjeta o el disco
JournalFault-Damaged = el diario está dañado; el registro dice qué hacer
JournalFault-DiskSlow = el disco del diario no responde; revisar la tarjeta o el disco
JournalFault-Unusable = la carpeta del diario no se puede usar; el registro dice por qué
JournalFault-InUse = otro windrode usa este diario; detener uno de los dos
JournalFault-Newer = un windrode más reciente escribió el diario; volver a instalar esa versión
JournalFault-NotWritten = no se puede escribir el diario; el registro dice por qué
JournalFault-Told = { $words }
LostWatch-JournalGone = el diario ha desaparecido
LostWatch-StateGone = falta en el diario el estado guardado
LostWatch-Unreadable = el diario no se puede leer
LostWatch-Told = { $words }
Link-Up = conectado
Link-NotConnectedYet = aún sin conexión
Link-Down = cortado: { $why }
Link-Impaired = con fallos: { $why }
Answer-NotOnDisk = { $said }; esto AÚN NO ESTÁ GUARDADO y se perdería al reiniciar: { $why }

## El plan

Margin-Depth = fondo
Margin-Tide = marea
Margin-Keel = quilla
Margin-Roller = roldana
Margin-Scope = proporción
Margin-Rode = línea
Margin-Out = FILADO
Margin-TotalRode = LÍNEA TOTAL
Margin-Aboard = a bordo
Margin-Reach = alcance
Margin-Room = ESPACIO
Margin-Circle = círculo
Margin-Wind = viento
Margin-Bottom = al fondo
Margin-Lifts = despega
Margin-Strength = resistencia
Margin-LookAt = A tener en cuenta
Margin-Assumed = Supuesto
Margin-OnTheChart = En la carta
at-lowest = { $tide ->
    [yes] {" "}con el agua más baja
   *[no] {""}
}
at-highest = { $tide ->
    [yes] {" "}con el agua más alta
   *[no] {""}
}
with-scopes = { $now ->
    [none] {""}
   *[other] { $highest ->
        [none] , { $now }
       *[other] , { $highest } con el agua más alta, { $now } ahora
    }
}
Plan-WaterNow = { $depth } de agua ahora{ $below ->
    [transducer] {" "}({ $sounded } bajo el transductor)
    [keel] {" "}({ $sounded } bajo la quilla)
    [datum] {" "}({ $sounded } en la carta)
   *[surface] {""}
}
Plan-Range = { $high } con el agua más alta, { $low } con la más baja{ $until ->
    [none] {""}
   *[other] {" "}hasta { $until } UTC
}
Plan-Tide = { $words }; { $cost }
Plan-Grounds = TOCA FONDO{ at-lowest }, faltan { $by }
Plan-UnderKeel = { $left } bajo la quilla{ at-lowest }
Plan-Roller = { $above } sobre el agua, { $height } sobre el fondo{ at-highest }
Plan-Scope = { $scope }:1, { $why }
Plan-Rode = { $scope } × { $height } = { $rode }
Plan-Out = { $out }{ with-scopes }{ $more ->
    [none] , bastante para { $scope }:1
   *[other] ; filar { $more } más, { $all } en total
}
Plan-TotalRode = { $rode }{ $all ->
    [yes] , toda la que hay
   *[no] { $marks ->
        [none] {""}
       *[other] {" "}(marcas cada { $marks })
    }
}{ with-scopes }
Plan-Aboard = { $aboard }, { $enough ->
    [yes] bastante
   *[no] NO BASTA
}
Plan-NoReach = ninguno: { $rode } de línea no llegan al fondo
Plan-Reach = { $reach } como mucho del ancla a la roldana, con { $rode } fuera
Plan-Room = { $widest } libres alrededor del ancla, y un margen
Plan-Circle = radio en popa { $stern }, en proa { $bow }{ $antenna ->
    [none] {""}
   *[other] , en la antena { $antenna }
}{ $water ->
    [lowest] {" "}con el agua más baja
    [highest] {" "}con la más alta
   *[any] {""}
}{ $wind ->
    [none] {""}
   *[other] {" "}con { $wind }
}
Plan-Wind = { $wind } tiran { $pull } de continuo; ABYC H-40 calcula { $load }, con rachas y oleaje
Plan-Bottom = { $lead ->
    [none] { $lies } quedan en el fondo
   *[other] nada queda en el fondo, el ancla se levanta { $lead }°
} { $steady ->
    [yes] con el tiro continuo{ at-highest }
   *[no] con la carga de H-40
}
Plan-Lifts = { $chain ->
    [yes] la cadena se despega
   *[no] la línea se despega
} del fondo con { $wind } de viento constante, con { $design } si hay rachas y oleaje (ABYC H-40)
Plan-Strength = { $part }: carga de trabajo { $load }, se alcanza con { $wind } según H-40
Plan-NoCircle = la línea no llega al fondo: no hay círculo
Plan-Notice = Ninguna cifra de aquí dice que el ancla aguanta: clavarla, comprobar que agarra, hacer guardia de fondeo. Es una ayuda, no sustituye el juicio del patrón, una buena vigilancia ni las normas locales. No usar para la navegación.
Part-Chain = cadena { $of }
Part-Rope = cabo { $of }
Part-Snubber = amortiguador { $of }
TideCost-NotKnown = desconocida{ $datum ->
    [yes] ; la sonda de la carta se toma tal cual, casi toda la marea hay más agua
   *[no] {""}
}
TideCost-Server = el servidor solo da la próxima pleamar y bajamar, otra posterior puede ser más alta o más baja; el tiempo cambia el nivel en decímetros
TideCost-Prediction = la predicción no conoce el tiempo: viento y presión cambian el nivel en decímetros
TideCost-Typed = vale lo que valga la cifra; viento y presión cambian el nivel en decímetros
TideCost-None = si sube { $more }, queda una proporción de { $scope }; si baja { $more }, la quilla pierde { $more } de agua
Assumed-Sounder = fondo: el que da la sonda aquí y ahora
Assumed-WindNow = viento: { $wind }, el de ahora; mirar el pronóstico y dar su viento con `--wind`
Assumed-Bottom = fondo: llano de aquí al ancla, tan profundo allí como se sondó aquí
Assumed-Tide = marea: sin indicar, se supone que el fondo sigue como ahora
Assumed-Roller = roldana: sin indicar, se supone a { $height } sobre el agua
Assumed-Length = barco: eslora sin indicar, se suponen { $length }
Assumed-Usual = { $what ->
    [beam] manga
    [freeboard] francobordo
   *[masthead] tope del palo
} { $value }
Assumed-Windage = superficie al viento: { $usual }, lo usual para su eslora
Assumed-Aboard = línea: longitud a bordo sin indicar
Assumed-Marks = línea: marcas sin indicar, nada redondeado
Assumed-Material = línea: material sin indicar, no se comprueba si el ancla se levanta
Assumed-Grade = cadena: grado sin indicar, se supone el más débil de su tamaño, G{ $grade }
Assumed-Weight = cadena: su peso se calcula por su tamaño, { $mass } kg/m
Assumed-NewRope = cabo: nuevo, seco, sin nudos; la poliamida se alarga una décima parte al 15 % de su carga de rotura, el poliéster un 3 %
Assumed-Stretch = línea: se alarga un { $percent } % al tensarse
Assumed-NoWind = viento: sin indicar, su tiro sin comprobar
Assumed-Pull = tiro del viento: cierto con un factor de 1,5 (continuo) y de 2 (H-40, con rachas, guiñadas y oleaje); la corriente no cuenta
Caution-Stretches = línea: se alarga más de lo que prevé `tackle.stretch`: hasta { $wind } con el viento esperado, frente a { $low }; bastaría cerca de { $stretch }
Caution-NotEnough = línea insuficiente: hacen falta { $needed }, hay { $aboard } a bordo; daría { $scope }; buscar menos fondo
bottom-to-roller = { $height } del fondo a la roldana
Caution-AboardShort = la línea a bordo no llega al fondo: { $aboard }, para { bottom-to-roller }
Caution-ScopeShort = proporción: { $out } filados son { $scope } con el agua más alta; { $more ->
    [none] hace falta { $wanted }
   *[other] { $more } más dan { $wanted }
}
Caution-OutShort = la línea filada no llega al fondo: { $out }, para { bottom-to-roller }
Caution-ScopeSmall = proporción: { $scope } es menos que { $least }:1, se pierde buena parte del agarre
Caution-HoldingPoor = tenedero: malo, filar más no ayuda; buscar otro sitio
Caution-Grounds = quilla: toca fondo con el agua más baja, faltan { $by }
Caution-KeelMargin = quilla: { $left } debajo con el agua más baja, mínimo { $margin }
Caution-NoDraught = quilla: calado sin indicar, agua bajo la quilla sin comprobar
Caution-NoTide = marea: desconocida; { $cost }
Caution-Lifts = ancla: { $surely ->
    [yes] {""}
   *[no] con rachas y oleaje,{" "}
}{ $chain ->
    [yes] la cadena
   *[no] la línea
} se despega del fondo con el viento esperado, y el ancla se levanta
Caution-Lead = ancla: se levanta { $lead }° { $steady ->
    [yes] por el tiro continuo
   *[no] con rachas y oleaje
}; a más de { $most }° se supone que no agarra; filar más si hay sitio
Caution-Load = { $part }: carga de trabajo { $working }, H-40 calcula { $design } con este viento
Caution-LightAnchor = ancla: { $anchor } son menos que los { $wanted } de la tabla 20.1 del Small Craft Code para su eslora y un ancla de agarre corriente
BerthTold-At = fondeadero en { $position }: { $depth }{ $own ->
    [none] {""}
   *[other] ; { $own }
}{ $short ->
    [none] {""}
   *[other] ; esta línea vale para la { $short ->
        [sounding] sonda menor
       *[bound] menor profundidad
    } y puede ser DEMASIADO CORTA, sondar el fondeadero antes de fondear
}
BerthTold-NoChart = ninguna carta da allí la profundidad
to-most = { $most ->
    [none] o más
   *[other] a { $most }
}
BerthTold-Charted = profundidad en la carta { $least } { to-most } (`{ $cell }`)
BerthTold-Sounded = profundidad { $least } { to-most }, ninguna carta la da
BerthTold-NoDraught = calado sin indicar: agua bajo la quilla sin comprobar; indicarlo con `--draught`

## El borneo, y la búsqueda de un fondeadero

ChartMargin-Least = mínima
ChartMargin-Needed = precisa
ChartMargin-Danger = peligro
ChartMargin-Unknown = sin datos
ChartMargin-Share = parte
ChartMargin-Rules = normas
ChartMargin-Foul = sucio
ChartMargin-Survey = hidrografía
ChartMargin-Chart = carta
Swing-About = { $radius } alrededor de { $centre }{ $from ->
    [none] {""}
   *[other] , entre { $from } y { $to }
}
Swing-Clear = libre: nada en la carta lo impide
Swing-NotClear = NO LIBRE
Swing-NoDepth = sin profundidad en la carta
Swing-Keel = en bajamar { $short ->
    [none] { $left } bajo la quilla
   *[other] faltan { $short } para la quilla
}{ $error ->
    [none] {""}
   *[other] ; la carta puede errar en { $error }
}
Swing-Needed = { $needed } en la carta: calado { $draught }, margen { $margin }, marea más baja { $tide }
Swing-Nearest = el más cercano: { $danger }
Swing-NoDanger = ninguno a menos de { $within }
Swing-Part = { $share } { $what ->
    [tooShoal] con poca agua o peligroso
    [notCovered] en ninguna carta
   *[withoutDepth] sin profundidad en la carta
}
Swing-Survey = calidad del levantamiento { $quality }
Swing-Surveyed = { $quality }{ $end ->
    [none] {""}
   *[other] ; levantado hasta { $end }
}
Swing-Notice = Es una ayuda, no sirve para la navegación: mirar la carta oficial y sondar el fondeadero.
SurveyQuality-NotAssessed = U: sin evaluar
SurveyQuality-Figures = { $zone }: profundidades ±{ $depth } m + { $percent } %, posiciones ±{ $position } m{ $more ->
    [yes] {" "}+ 5 % de la profundidad
   *[no] {""}
}
SurveyQuality-Poor = { $zone }: peor que C, profundidades y posiciones pueden errar mucho
ChartCaution-NoTide = marea sin indicar: el cero de la carta se toma como agua más baja; puede bajar más
ChartCaution-NoChart = no hay carta de este lugar; añadir una con: windrode chart add PATH
ChartCaution-TideOf = marea: según { $station ->
    [none] la estación configurada
   *[other] `{ $station }`
} hasta { $until }
ChartCaution-DatumsDiffer = las celdas miden la profundidad desde niveles distintos; comparar cada una con el suyo
ChartCaution-NoDatum = cero de la carta: la celda no indica desde dónde mide sus profundidades
ChartCaution-Coverage = cobertura: `{ $name }` no indica dónde acaba; donde da fondo o tierra cuenta como cubierto
ChartCaution-NoScale = escala: `{ $name }` no la indica; no se sabe con qué exactitud está dibujada
ChartCaution-Scale = escala: medio milímetro en `{ $name }` son { $by } en el agua
ChartCaution-NoSurvey = calidad del levantamiento: sin indicar
SearchColumn-Place = sitio
SearchColumn-Bears = al
SearchColumn-Off = a
SearchColumn-Depth = fondo
SearchColumn-Rode = línea
SearchColumn-Circle = círculo
SearchColumn-Spare = margen
Search-Heading = fondeaderos a menos de { $within } de { $centre }: { $places } sitios examinados, cada { $spacing }
Search-Fetch = fetch en millas náuticas, viento del: { $list }
Search-Wind = { $from ->
    [NE] NE
    [E] E
    [SE] SE
    [S] S
    [SW] SO
    [W] O
    [NW] NO
   *[N] N
}
Search-FetchFrom = { $wind } { $miles }
Search-Chart = carta: { $cell }
Search-Rejected = sitios que no cuentan: { $list }
Search-Count = { $against }: { $places }
FetchMiles-Near = { $miles }
FetchMiles-Land = { $miles }
FetchMiles-Chart = más de { $miles } (acaba la carta)
FetchMiles-Limit = más de { $miles }
SearchAgainst-Land = tierra al alcance
SearchAgainst-Shoal = poca agua en bajamar
SearchAgainst-UnknownDanger = peligro de profundidad desconocida al alcance
SearchAgainst-NoChart = no todo está en una carta
SearchAgainst-NoDepth = sin profundidad en la carta
SearchAgainst-Cable = sobre un cable
SearchAgainst-Pipe = sobre una tubería
SearchAgainst-Restricted = fondeo prohibido o restringido
SearchAgainst-Foul = fondo sucio, naufragio u obstrucción al alcance
SearchAgainst-RodeShort = la línea a bordo es corta para ese fondo
SearchAgainst-CircleTooWide = el círculo es demasiado ancho
SearchAgainst-Neighbour = en el círculo de otro buque
SearchAgainst-NoPlan = no se puede hacer un plan
SearchReason-LeastDepth = profundidad mínima del círculo { $depth } en la carta, { $keel } bajo la quilla en bajamar
SearchReason-ChartWrong = las profundidades de la carta pueden errar en { $by }, más de lo que queda bajo la quilla
SearchReason-Danger = { $room } del círculo al peligro más cercano: { $danger }
SearchReason-NoDanger = ningún peligro a menos de { $within } del círculo
SearchReason-Neighbour = { $room } del círculo al del buque más cercano{ $name ->
    [none] {""}
   *[other] , { $name }
}, al { $bearing }, de borde a borde
SearchReason-OpenWater = una milla o más de agua abierta: { $winds }
SearchReason-SoundingAway = el fondo es de una sonda a { $distance }; sondar el fondeadero
SearchReason-NoSounding = sin sonda cercana; el fondo es el del área de profundidad, sondar el fondeadero
SearchCaution-NoNeighbours = no se conocen vecinos: mirar alrededor
SearchCaution-NoAis = los buques sin AIS no se conocen: mirar alrededor
SearchCaution-NotJudged = tenedero y abrigo: sin juzgar; el fetch es la distancia a la tierra en la carta
SearchCaution-NoneFound = aquí no hay fondeadero; buscar en otro lugar, o más lejos con `--within`
SearchCaution-NoTide = marea sin indicar: el cero de la carta se toma como agua más baja y más alta; indicar `--tide`, `--low-water` y `--high-water`, o `--station`
SearchCaution-NoAboard = línea a bordo sin indicar: no se comprueba si basta; indicar `--aboard`
SearchCaution-AisNotHeard = no se recibe AIS
SearchCaution-NotFromHere = se reciben buques, pero no dónde están desde aquí: sus círculos no cuentan
SearchCaution-UnderWay = { $count } de los buques recibidos navegan, o se reciben desde hace poco: no cuentan
SearchCaution-NoDaemon = el servicio no responde, no hay AIS: indicar círculos con `--neighbour`

## La marea

Unit-Miles = { $miles } M
TurnName-High = pleamar
TurnName-Low = bajamar
TidePage-At = en { $position }{ $distance ->
    [none] {""}
   *[other] , a { $distance } al { $bearing } del lugar pedido
}
TidePage-Secondary = puerto secundario: diferencias con { $name } ({ $id })
TidePage-Above = alturas respecto a: { $datum } ({ $short }); horas { $zone }
TidePage-NoTurns = ni pleamar ni bajamar en este intervalo: la marea es demasiado pequeña o el intervalo demasiado corto
TidePage-Heights = alturas
TidePage-Nearest = puertos más cercanos
TidePage-Now = ahora { $clock }: { $height }, { $rising ->
    [yes] sube; pleamar
   *[no] baja; bajamar
} { $next }, dentro de { $wait }; amplitud { $range }
TidePage-Constants = Constantes: { $credit }.
TideZone-Utc = en UTC
TideZone-BoatsUtc = en UTC, la hora de a bordo
TideZone-Boats = de a bordo{ $zone ->
    [none] {""}
   *[other] {" "}{ $zone }
} ({ $offset } el primer día)
TideDatum-Mllw = { Datum-12 }
TideDatum-Lat = { Datum-23 }
TideDatum-Mlws = { Datum-1 }
TideDatum-Llwlt = { Datum-27 }
TideDatum-Nllw = { Datum-11 }
TideDatum-Tlt = bajamar inferior tropical
TideDatum-Msl = { Datum-3 }, que no es un cero hidrográfico
TideDatum-Chart = cero hidrográfico
TideDatum-Own = un cero propio
TideCaution-Far = el puerto está a { $away }: en el lugar pedido la marea puede tener otras horas y otras alturas
TideCaution-Disagrees = { $name } ({ $id }), a { $away }, tiene otra marea: { $by } { $earlier ->
    [yes] antes
   *[no] después
}, amplitud multiplicada por { $ratio }; puede haber tierra, una barra o un estrecho en medio, tomar el puerto del mismo lado
TideCaution-MeanSeaLevel = alturas sobre el nivel medio del mar: no sumarlas a las sondas de la carta
TideCaution-NoWeather = calculada solo con la luna y el sol: viento, presión, lluvia y hielo también cambian el nivel, en un temporal un metro y más
TideCaution-Margin = el cero hidrográfico y el fondo cambian; dejar un margen, sondar uno mismo y atender a las tablas y avisos oficiales
TideCaution-Aid = una ayuda, no sustituye una buena vigilancia, la guardia de fondeo, el juicio del patrón ni las normas locales; no usar para la navegación
Calendar-Day = { $weekday }, { $day } { $month } { $year }
Weekday-1 = lun
Weekday-2 = mar
Weekday-3 = mié
Weekday-4 = jue
Weekday-5 = vie
Weekday-6 = sáb
Weekday-7 = dom
Month-1 = ene
Month-2 = feb
Month-3 = mar
Month-4 = abr
Month-5 = may
Month-6 = jun
Month-7 = jul
Month-8 = ago
Month-9 = sept
Month-10 = oct
Month-11 = nov
Month-12 = dic

## Cartas a bordo

ChartsKept-Added = añadida: { $cell }; { $megabytes } MB en el disco
ChartsKept-SomeAdded = { $added } de { $all } celdas añadidas
ChartsKept-Removed = `{ $name }`: carta quitada
ChartsKept-None = no hay cartas; añadir una con: windrode chart add PATH
ChartsKept-Forgotten = { $count ->
    [0] no había sondas que quitar
    [one] 1 sonda quitada
   *[other] { $count } sondas quitadas
}
ChartsKept-Reading = { $done } de { $all } celdas, faltan { $left }

## La comprobación

Looked-Position = posición
Looked-Heading = rumbo
Looked-Wind = viento
Looked-Depth = fondo
Looked-Speed = velocidad sobre el fondo
Looked-Method = tipo de posición
Looked-Revolutions = revoluciones
Looked-Ais = AIS
Looked-Length = eslora
Looked-Antenna = distancia de la antena a la proa
Looked-Roller = altura de la roldana
Looked-Transducer = transductor o calado
Looked-Rode = línea a bordo
Without-Position = sin ella no hay guardia de fondeo
Without-Heading = no se conoce el sitio de la proa, un garreo se detecta más tarde; el margen crece en la distancia de la antena a la proa
Without-Wind = sin alerta de rolada ni de viento fuerte, sin rumbo de proa al viento
Without-Depth = sin alerta de poca agua, sin proporción; como alcance se toma toda la línea
Without-Speed = una posición congelada se detecta más tarde
Without-Method = la estima no se distingue de una posición real
Without-Revolutions = normal con el motor parado; si el servidor nunca las tiene, empezar y acabar uno mismo la prueba de agarre
Without-Ais = normal si no hay otro buque cerca
Without-Assumed = se suponen { $length }; poner `{ $key }`
Without-Antenna = media eslora más de error; poner `boat.antenna_from_bow`
Without-Transducer = quizá no se sepa la profundidad; poner `boat.transducer_depth`
CheckMargin-Fails = fallo
CheckMargin-Limits = límite
CheckMargin-Note = nota
CheckMargin-Works = funciona
Check-Ready = LISTO: funciona todo lo que la guardia necesita
Check-ReadyWithLimits = LISTO, con { $count ->
    [one] 1 límite
   *[other] { $count } límites
} abajo
Check-NotReady = NO LISTO: { $count ->
    [one] 1 fallo impide
   *[other] { $count } fallos impiden
} la guardia
Check-Server = servidor ({ $greeting }, `{ $address }`)
Check-OnNetwork = encontrado en la red: { $offer }
Check-Greeting = { $name } { $version }, buque propio `{ $own }`
Check-NoGreeting = no se presentó
Check-MayWrite = permiso de escritura
Check-MayNotWrite = permiso de escritura: { $why }; hasta entonces ninguna pantalla muestra una alarma
Check-TokenUnread = preguntado sin el token del servicio: { $why }; probar `sudo -u windrode windrode check`
Check-NoUsableValue = { $what }: ningún valor útil; { $cost }
Check-LastValueOnly = { $what }: nada nuevo en { $listened }, el servidor solo tiene el último valor; { $cost }
Check-NotHeard = { $what }: nada recibido en { $listened }; { $cost }
Check-Missing = { $what }: falta, nada en { $listened }; { $cost }
Check-NotEntered = { $what }: sin indicar; { $cost }
Check-SeveralReceivers = varios receptores dan una posición: { $sources }; indicar el mejor como `fix.source`
Check-NoPhones = teléfonos: ninguna vía configurada, una alarma solo se oye en una pantalla
Check-PhoneWorks = teléfono `{ $channel }`
Check-PhoneFails = teléfono `{ $channel }` falla: { $why ->
    [none] sin motivo indicado
   *[other] { $why }
}
Check-PhoneUntried = teléfono `{ $channel }` sin probar: `windrode check --push { $channel }` envía una prueba
Check-Daemon = servicio
Check-NoDaemon = aquí no responde ningún servicio: aún no vigila nadie
Check-More = `windrode check --verbose` muestra también la configuración
Check-CannotWork = así la guardia no puede funcionar
Check-NoServer = el servidor `{ $url }`: { $why }; ¿está en marcha el servidor de datos?
reason = { $why ->
    [none] {""}
   *[other] : { $why }
}
Check-Sent = `{ $channel }` aceptó una prueba; ver si llegó al teléfono y si le despertó
Check-NotNow = `{ $channel }` no la acepta ahora{ reason }
Check-Refuses = `{ $channel }` la rechaza{ reason }
Right-Open = el servidor está abierto a todos
Right-Granted = el servidor nos concede `{ $level }`
Right-Refused = el servidor rechaza nuestro token (`{ $words }`); quitar el token y { -approve }
Right-NotKnown = no se conocen nuestros permisos en el servidor: { $why }
-renew = pedir uno nuevo en los ajustes de seguridad del servidor, Devices, antes de la próxima noche fondeados
TokenEnd-Ended = el token para el servidor caducó el { $at }; { -renew }
TokenEnd-Ends = el token para el servidor caduca el { $at }; { -renew }

## Las preguntas de la instalación

Ask-Language = El idioma de todo lo que la tripulación lee u oye: `en` English, `de` Deutsch, `fr` français, `es` español.
Ask-Server = Esquema, nombre y puerto del servidor.
Ask-Name = El nombre del barco en los mensajes a los teléfonos.
Ask-Length = Eslora total.
Ask-Draught = Calado máximo, de la superficie al punto más bajo de la quilla.
Ask-Roller = Altura de la roldana de proa sobre el agua.
Ask-Antenna = Distancia de la antena GPS a popa de la roda.
Ask-Rode = Toda la línea a bordo, cadena y cabo juntos.
Ask-Chain = La cadena del ancla, por tamaño y grado.
Ask-Topic = Un tema (topic) de un servidor push que el teléfono escucha. Quien lo conoce puede leerlo.
Setup-Enter = Intro conserva lo que está entre corchetes. Las longitudes llevan unidad: `1.9 m`, `6.2 ft` (con punto).
Setup-AnswersGo = Las respuestas van a `{ $file }`, donde se pueden cambiar.
Setup-Question = { $ask } [{ $now }]:
Setup-FromServer = { $value }, del servidor
Setup-NoneYet = nada, por ejemplo { $example }
Setup-Unchanged = `{ $file }` queda como está
Setup-Written = escrito: `{ $file }`
Setup-Sending = enviando una alarma de prueba al teléfono
Setup-AtNextStart = tendrá efecto en el próximo arranque del servicio
Setup-Restarted = windrode se ha arrancado con ello
Setup-NotRestarted = windrode NO se ha arrancado, ahora no vigila nadie: ver `journalctl -u windrode`, luego `sudo systemctl restart windrode`

## La forma de una orden

PutTold-Context = `{ $context }` es el contexto de otro buque; las órdenes solo valen para `vessels.self`
PutTold-Entries = una petición lleva `{ $count }` entradas legibles en `put`; escribir un `path` con su `value`
PutTold-Unknown = `{ $path }` no es una orden; las órdenes son { $known }
PutTold-ReadOnly = `{ $path }` lo calcula windrode y no se puede fijar; las órdenes son { $known }
PutTold-Value = `{ $command }` recibió `{ $value }`; escribir { $form }
PutTold-Member = `{ $command }` no tiene `{ $key }`; tiene { $known }
PutTold-Kind = `letGo.kind` recibió `{ $value }`; escribir uno de { $known }
PutTold-Hazard = `{ $command }` recibió `{ $value }`; escribir `true` para todos o un peligro: { $known }
PutTold-IdTooLong = `requestId` es demasiado largo; escribir un UUID
PutTold-TooMany = demasiadas órdenes esperan respuesta; probar otra vez en un minuto
PutForm-True = `true`
PutForm-BeginOrEnd = `true` para empezar o `false` para acabar
PutForm-YesOrNo = `true` o `false`
PutForm-LetGo = `true`, o un objeto con `rode`, `position`, `depth`, `kind`, `radius`, `fromTrack`, `reanchored`, todos opcionales
PutForm-Metres = metros, más de 0 y menos de 1000
PutForm-MetresOrNull = metros, más de 0 y menos de 1000, o `null`
PutForm-Place = un objeto con `latitude` y `longitude` en grados
PutForm-BerthOrNull = un objeto con `latitude` y `longitude` en grados, y si se quiere `scope`, `rode`, `wind`, `stay`, o `null`
PutForm-Snubber = `true`, un objeto con `at` o `length` en metros, o `false` si está quitado
PutForm-Scope = un número de 1,5 a 20 (escrito con punto)
PutForm-Wind = metros por segundo, más de 0 y como mucho 50
PutForm-Stay = segundos, más de 0 y como mucho 2592000, que son 30 días
Refused-Because = rechazado: { $why }
Refused-NoReason = sin motivo indicado
