# Français. De mémoire du vocabulaire du métier (SMCP de l'OMI, SHOM, Météo-France) ; à relire par un francophone.

## Unités

Unit-NauticalMiles = { $miles } milles nautiques

Aloud-Figures = zéro un deux trois quatre cinq six sept huit neuf
Aloud-Degrees = { $degrees } degrés
Aloud-Scope = { $scope } pour un
Aloud-Metres = { $count ->
    [one] mètre
   *[other] mètres
}
Aloud-Feet = { $count ->
    [one] pied
   *[other] pieds
}
Aloud-Knots = { $count ->
    [one] nœud
   *[other] nœuds
}
Aloud-Seconds = { $count ->
    [one] seconde
   *[other] secondes
}
Aloud-Minutes = { $count ->
    [one] minute
   *[other] minutes
}
Aloud-Hours = { $count ->
    [one] heure
   *[other] heures
}
Aloud-Days = { $count ->
    [one] jour
   *[other] jours
}
Aloud-PerCent = pour cent
Aloud-Volts = { $count ->
    [one] volt
   *[other] volts
}

## Noms

Hazard-dragging = l'ancre chasse
Hazard-swingExceeded = hors du cercle d'évitage
Hazard-windShift = saute de vent
Hazard-windStrength = vent fort
Hazard-shoaling = trop peu d'eau
Hazard-scopeShort = ligne trop courte
Hazard-position = pas de position
Hazard-dataLink = pas de serveur
Hazard-watch = la veille elle-même
Hazard-instrument = instrument perdu
Hazard-neighbour = navire trop près
Short-dragging = ancre chasse
Short-swingExceeded = hors du cercle
Short-windShift = saute de vent
Short-windStrength = vent fort
Short-shoaling = peu d'eau
Short-scopeShort = ligne courte
Short-position = pas de position
Short-dataLink = serveur perdu
Short-watch = veille dégradée
Short-instrument = instrument perdu
Short-neighbour = navire proche
Cleared-dragging = ne chasse plus
Cleared-swingExceeded = de retour dans le cercle
Cleared-windShift = fin de la saute de vent
Cleared-windStrength = le vent mollit
Cleared-shoaling = assez d'eau à nouveau
Cleared-scopeShort = assez de ligne à nouveau
Cleared-position = position rétablie
Cleared-dataLink = serveur rétabli
Cleared-watch = fin de l'alerte sur la veille
Cleared-instrument = instruments rétablis
Cleared-neighbour = plus de navire trop près
Priority-caution = mise en garde
Priority-warning = avertissement
Priority-alarm = alarme
Priority-emergencyAlarm = urgence

## Alarmes

-lookout = dérapage indétectable, veiller à vue
under-way = { $under_way ->
    [yes] {" "}; en route ? relever l'ancre finit la veille
   *[no] {""}
}
at-unseen = { $unseen ->
    [none] {""}
   *[other] {" "}(à { $unseen })
}
Alert-Dragging = { $kind ->
    [mooring] le coffre chasse
   *[other] l'ancre chasse
} : { $moved } ou plus{ $reach ->
    [none] {" "}depuis son point de tenue
   *[other] {""}
}{ at-unseen } ; marque au { $bearing } à { $distance }{ $antenna ->
    [yes] {" "}de l'antenne GPS
   *[no] {""}
}{ $reach ->
    [none] {""}
   *[other] , la ligne porte à { $reach }
} ; regarder dehors, démarrer le moteur{ under-way }
Alert-OutsideCircle = hors du cercle d'évitage : { $radius } de l'ancre{ at-unseen }, cercle de { $limit } ; surveiller hauts-fonds et voisins{ under-way }
Alert-OutsideLastCircle = hors du cercle d'évitage : { $radius } de la marque{ at-unseen }, cercle le plus large { $limit } ; surveiller hauts-fonds et voisins{ under-way }
now-from = { $from ->
    [none] {""}
   *[other] , vient du { $from }
}
-wind-shift = saute de vent
-check-shelter = vérifier l'abri, l'évitage et la tenue du bateau
Turned-Veered = { $turn } à droite
Turned-Backed = { $turn } à gauche
Alert-WindShift = { -wind-shift } : { $set } depuis que l'ancre tient{ now-from } ; { -check-shelter }
Alert-WindShiftAgain = { -wind-shift } : { $seen } depuis l'acquittement, { $set } depuis que l'ancre tient{ now-from } ; { -check-shelter }
-check-chafe = vérifier le ragage de la ligne, filer si la place le permet, moteur paré
Alert-StrongWind = vent fort : moyenne { $mean }{ $gust ->
    [none] {""}
   *[other] , rafales { $gust }
} ; { -check-chafe }
Alert-StrongGusts = vent fort : rafales { $gust }, moyenne { $mean } ; { -check-chafe }
last-sounded = { $sounded ->
    [none] {""}
   *[other] {" "}au dernier sondage à { $sounded }, le sondeur a perdu le fond depuis
}
-deeper = vérifier sondeur et marée, gagner plus de fond
Alert-NoWater = trop peu d'eau : plus d'eau sous la quille{ last-sounded } (manque { $short }) ; { -deeper }
Alert-Shoaling = trop peu d'eau : { $depth } sous la quille{ last-sounded }, minimum { $least } ; { -deeper }
Alert-ShoalingAtLowWater = trop peu d'eau : { $depth } sous la quille à basse mer là où le bateau a évité, minimum { $least } ; vérifier l'annuaire des marées
Alert-ScopeShort = ligne trop courte : { $scope }:1 { $when }, il faut { $wanted }:1 ; filer si la place le permet
When-Now = maintenant
When-AtHighWater = à la prochaine pleine mer
When-InThisWind = par ce vent
When-InTheLastWind = par le vent fort reçu en dernier
Alert-NoPosition = pas de position valable depuis { $since } : { $why }{ $anchored ->
    [yes] {" "}; { -lookout }
   *[no] {""}
}
Alert-PositionInDoubt = position douteuse depuis { $since } : { $why } ; les deux sont douteux, veiller à vue
Alert-PositionJumped = la position a sauté de { $by }, plus vite qu'un bateau ; pendant { $held } au plus le dérapage est jugé sans le saut
Alert-PositionJumps = position douteuse : { $count } sauts en { $within } ; le dérapage peut être signalé tard ou à tort, veiller à vue
Alert-ServerLost = serveur Signal K perdu depuis { $since } : { $why } ; { -lookout }
Alert-ServerSilent = serveur Signal K muet depuis { $since } ; { -lookout }
Alert-DisplaysBlind = les écrans ne montrent peut-être rien : { $why }
Alert-InstrumentLost = { $what } : { $costs } ; vérifier les instruments

## Pourquoi il n'y a pas de position

NoFix-NoData = aucune donnée du GPS
NoFix-NoServer = pas de serveur de données : { $why }
NoFix-Old = la dernière date de { $age }
NoFix-Empty = le récepteur n'en envoie pas
NoFix-NullIsland = le récepteur envoie 0° N 0° E
NoFix-Method = { $method ->
    [noFix] le récepteur dit n'avoir pas de point
    [deadReckoning] le récepteur continue à l'estime
    [manual] la position est saisie à la main
    [simulator] le récepteur est en simulation
    [error] le récepteur signale une erreur
   *[satellite] le récepteur est douteux
}
NoFix-Unsaid = le récepteur ne dit pas s'il a un point
NoFix-Unsafe = le récepteur juge son point peu sûr
NoFix-Frozen = les coordonnées sont figées
NoFix-Jump = elle a sauté de { $by }
NoFix-Disagrees = les positions et la vitesse fond diffèrent de { $by } en une demi-minute
NoFix-Wanders = ciel mal dégagé, elle s'écarte de { $by } en dix secondes

## Instruments

Instrument-wind = anémomètre
Instrument-windDirection = girouette
Instrument-sounder = sondeur
Instrument-heading = capteur de cap
Instrument-speed = vitesse fond
Instrument-revolutions = régime moteur
Instrument-ais = AIS
Cost-wind = sautes et force du vent non surveillées
Cost-windDirection = sautes de vent non surveillées
Cost-sounder = fond, quille et longueur de ligne non surveillés
Cost-heading = étrave moins bien située, un dérapage se voit plus tard
Cost-speed = un saut du GPS se distingue moins d'un dérapage
Cost-revolutions = l'essai de tenue ne voit pas la charge
Cost-ais = les autres navires ne sont pas vus
Loss-Flickers = { $instrument } : intermittent depuis { $time }
Loss-NotHeard = { $instrument } : rien depuis le redémarrage il y a { $time }
Loss-Silent = { $instrument } : muet depuis { $time }
Loss-NoBottom = { $instrument } : fond perdu depuis { $time }
Loss-NoValue = { $instrument } : sans valeur depuis { $time }
Loss-Impossible = { $instrument } : valeurs impossibles depuis { $time }
Loss-Frozen = { $instrument } : figé, répète la même valeur

## La veille elle-même

Health-Changed = la veille a été modifiée : { $changes }
Health-Impaired = la veille est dégradée : { $causes }
Health-Stopped = windrode a été arrêté : l'ancre n'est plus surveillée
Health-MayBeLost = une veille a pu être perdue : { $why } ; si le bateau est au mouillage, donner la position de l'ancre (`windrode let-go --position`), sinon acquitter
Health-NoPhone = aucune voie vers les téléphones ne marche ({ $channels }) : personne à terre ne sera alerté ; vérifier l'accès internet du bord
Health-BatteryLow = batterie de servitude faible : { $volts }, minimum { $least } ; recharger, sinon la veille et ses alarmes s'arrêtent
Health-ClockSet = l'horloge de cet ordinateur a été { $back ->
    [yes] reculée
   *[no] avancée
} de { $by } il y a { $ago } ; les heures d'avant sont fausses d'autant, revoir la marée
Health-TokenEnds = notre jeton pour le serveur { $over ->
    [yes] a expiré
   *[no] expire
} le { $day } : sans lui aucun écran ne montre d'alarme ; retirer windrode des appareils dans les réglages de sécurité du serveur et accepter sa nouvelle demande, ou saisir un nouveau jeton
Health-FoundServer = relié au serveur de `{ $name }` à `{ $url }`, trouvé sur le réseau : si ce n'est pas votre bateau, saisir l'adresse de votre serveur dans `server.url` et redémarrer windrode
Health-Unmarked = aucune ancre marquée : le bateau est immobile depuis { $lain } par { $depth } d'eau et n'est pas surveillé ; `letGo` commence la veille{ $from_track ->
    [none] {""}
   *[other] , `fromTrack` la marque là où elle semble être, à { $from_track }
}
Health-WeighedAndHere = l'ancre a été relevée il y a { $gone } et le bateau est toujours au même endroit ; si elle est au fond, mouiller de nouveau : il n'est pas surveillé
Health-WeighedAndDrifted = l'ancre a été relevée il y a { $gone }, le moteur n'a pas tourné et le bateau a dérivé de { $moved } ; s'il doit être au mouillage, regarder dehors et mouiller de nouveau
by = { $by ->
    [terminal] au terminal
    [server] par le serveur de données
    [phone] depuis un téléphone
   *[display] depuis un écran
}
-if-not = si personne du bord ne l'a fait,
Changed-Ended = la veille a été arrêtée { by }, la marque était en { $mark } ; { -if-not } mouiller de nouveau avec cette `position`
Changed-SecondMarked = la seconde ancre a été marquée de nouveau { by }, à { $moved } de l'ancienne marque
Changed-Marked = l'ancre a été marquée de nouveau { by }, à { $moved } de l'ancienne marque ; { -if-not } la remettre en { $mark }
Changed-MarkMoved = la marque a été déplacée { by } de { $moved } ; { -if-not } la remettre en { $mark }
Changed-CircleWidened = le cercle d'évitage a été élargi { by }, de { $old } à { $new } ; { -if-not } le rétablir
Changed-RodeSet = la longueur de ligne a été portée à { $rode } { by }, un dérapage se verra tard ; { -if-not } la rétablir

## Réponses aux ordres

more-than-aboard = { $aboard ->
    [none] {""}
   *[other] , plus que les { $aboard } du bord (`tackle.rode_aboard`)
}
Rode-NotEntered = , longueur de ligne non saisie : jusqu'à `rodeOut`, les { $longest } sont supposés filés
Rode-ToVeer = , { $rode } de ligne à filer{ more-than-aboard }
in-water = { $depth ->
    [none] , fond inconnu
   *[other] , par { $depth } d'eau
}
with-circle = { $circle ->
    [none] {""}
   *[other] , cercle d'évitage de { $circle } au centre du bateau
}
Answer-LetGo = ancre mouillée en { $position }{ $berth ->
    [none] {""}
   *[other] , à { $berth } du poste prévu
}{ $rode }{ in-water }{ with-circle }{ $remarks }
Answer-MadeFast = { $kind ->
    [shoreLine] amarré à terre, centre du bateau en
    [sternTo] amarré par l'arrière, centre du bateau en
   *[mooring] sur coffre en
} { $position }{ with-circle }{ in-water }{ $remarks } ; { $not_judged }
Answer-SecondLetGo = seconde ancre mouillée en { $position }, à { $apart } de la première{ $rode }{ $remarks } ; { $not_judged }
Besides-Estimated = , estimée sur { $lain } de trace, à { $doubt } près (95 %), à { $radius } du davier
Besides-LainAt = {" "}; le bateau est ici depuis { $lain } : si l'ancre a été mouillée avant, elle est vers { $position } ; mouiller de nouveau avec `fromTrack` l'y marque
Besides-Lain = {" "}; le bateau est ici depuis { $lain } : si l'ancre a été mouillée avant, elle n'est pas sous l'étrave : donner sa `position`
Besides-OldFix = {" "}; la position date d'il y a { $age }, la marque peut donc être décalée de { $doubt } (95 %){ $second ->
    [yes] {""}
   *[no] {" "}: la corriger avec `mark` si l'on connaît mieux l'endroit
}
Besides-BowNotKnown = {" "}; { $heading ->
    [yes] `boat.antenna_from_bow` n'est pas réglé
   *[no] aucun cap reçu
}, c'est donc la place de l'antenne GPS, et l'ancre peut en être à { $doubt }
Answer-Veered = { $rode } de ligne filés{ more-than-aboard }, { $scope ->
    [none] rapport inconnu sans le fond
   *[other] rapport { $scope }:1
}
Answer-Weighed = ancre relevée après { $lay } ; la veille est finie
Answer-NoBerth = aucun poste prévu
Answer-Berth = poste prévu en { $position }
Answer-BerthFromHere = poste prévu en { $position }, au { $bearing } à { $distance }
Answer-MarkAlready = la marque est déjà en { $position }
Answer-MarkCorrected = marque corrigée de { $by }, en { $position }
Answer-Circle = cercle d'évitage de { $radius } au centre du bateau{ $outside ->
    [none] {""}
   *[other] , et le bateau en est sorti, à { $outside } de la marque
}
Answer-CircleAsGiven = cercle d'évitage de nouveau comme donné avec `letGo`
Answer-CircleFromRode = cercle d'évitage de nouveau calculé sur la ligne
how-many = { $count ->
    [one] une alerte
   *[other] { $count } alertes
}
Answer-HazardAcknowledged = `{ $hazard }` : acquitté
Answer-Acknowledged = acquitté : { how-many }
Answer-HazardSilenced = `{ $hazard }` : son coupé 30 s
Answer-Silenced = son coupé 30 s : { how-many }
Answer-PullBegun = essai de tenue commencé : battre en arrière, monter doucement en charge et tenir une minute ou plus
Answer-PullRuns = l'essai de tenue est en cours
Answer-PhonesDoubtful = { $said } ; aucune voie vers les téléphones n'a marché récemment ({ $channels }) : les alertes n'atteignent peut-être que les écrans du bord

## Refus

Refusal-NoFix = pas de position valable pour marquer l'ancre ({ $why }) ; donner `position`, ou mouiller de nouveau quand il y a un point
Refusal-NotAtAnchor = pas au mouillage : d'abord `letGo`
Refusal-RodeTooShort = `{ $name }` = { $rode } n'atteint pas le fond : { $depth } d'eau et le davier à { $roller } au-dessus ; filer plus
Refusal-Impossible = `{ $name }` = { $value } est hors limites ; donner { $least } à { $most }
Refusal-NoRadius = `kind` = `{ $kind }` n'a pas de ligne pour calculer un cercle : donner `radius`, au centre du bateau
Refusal-Misplaced = `{ $member }` n'a pas de sens avec `kind` = `{ $kind }` ; l'omettre
Refusal-NoFirst = aucune première ancre marquée ; mouiller la première sans `kind`
-no-track = la trace ne dit pas où est l'ancre :
Refusal-NotLain = { -no-track } le bateau n'est pas immobile depuis { $after } ; donner `position`
Refusal-NotSwung = { -no-track } en { $lain } il n'a pas assez évité, ou pas selon la ligne et le fond ; donner `position`
Refusal-NoPull = pas d'essai de tenue pour `{ $kind }`
Refusal-NoTest = aucun essai de tenue en cours ; `pullTest` = `true` en commence un
Refusal-Marked = le bateau est { $moored ->
    [yes] amarré
   *[no] au mouillage
} depuis { $since } UTC{ $away ->
    [none] {""}
   *[other] , la marque est à { $away } de l'étrave
} ; d'abord `weigh`, ou `reanchored` s'il a été mouillé de nouveau, ou `kind` = `secondAnchor` pour une autre ancre en plus
Refusal-MarkedSecond = une seconde ancre est déjà marquée, à { $apart } de la première ; ajouter `reanchored` si elle a été mouillée de nouveau
Refusal-TooFar = `{ $name }` est à { $distance } { $from_mark ->
    [yes] de la marque
   *[no] du bateau
}, la limite est { $limit } ; vérifier latitude et longitude, ouest et sud sont négatifs
Refusal-NoAlert = aucune alerte à acquitter ou à faire taire
Refusal-AcknowledgedAlready = déjà acquittée
Refusal-Emergency = une alarme d'urgence ne se fait pas taire ; l'acquitter

## Le récit

PhaseName-aweigh = ancre relevée
PhaseName-setting = l'ancre croche
PhaseName-set = l'ancre tient
PhaseName-dragging = l'ancre chasse
Note-Phase = { $phase } : { $how }
Note-Moves = l'ancre se déplace
Note-Holds = le bateau est resté calme { $quiet } : l'ancre tient
Note-HoldsElsewhere = l'ancre tient de nouveau ; elle serait à { $moved } de l'ancienne marque, au { $bearing } de celle-ci, à { $doubt } près
Note-WithinReach = le bateau est de nouveau à portée de son ancre
goes-on = la veille reprend après un redémarrage ({ $phase }) : aveugle
Note-GoesOn = { goes-on } depuis { $since } UTC, pendant { $blind }
Note-GoesOnClockBack = { goes-on } pendant un temps inconnu : l'horloge a reculé
Note-GoesOnUnknown = { goes-on } pendant un temps inconnu
Note-OtherReceiver = la position vient maintenant de `{ $source }`, `{ $before }` ne donne pas de point valable ; écart { $apart }
Note-ShownAgain = quelqu'un a remis la notification `{ $hazard }` à la normale sur le serveur alors qu'elle dure ; elle est montrée de nouveau
Note-Silenced = son coupé 30 s : { $alert }
Note-GoneNotAcknowledged = terminée, non acquittée : { $alert }

## L'essai de tenue

Verdict-held = tient
Verdict-yielding = chasse au moteur
Verdict-cannotTell = indécis
PullTest-Held = essai de tenue : { Verdict-held } : { $why }
PullTest-Yielding = essai de tenue : { Verdict-yielding } : { $why } ; filer plus et recommencer, ou relever
PullTest-CannotTell = essai de tenue : { Verdict-cannotTell } : { $why } ; ne pas s'y fier
under-load = { $rpm ->
    [none] sous traction
   *[other] à { $rpm } tr/min
}
Pull-NoLoad = pas encore de charge ; il faut au moins { $needed } tr/min
Pull-TooShort = { $held } s de charge stable, il en faut { $needed } s
Pull-NotSteady = la charge n'était pas stable, { $changes } changements ; tenir le même régime { $needed } s
Pull-NoPosition = pas de position valable pendant la traction
Pull-Moved = déplacé de { $figures } { under-load }
Pull-MovedNone = aucun déplacement au-delà de l'erreur GPS ({ $figures }) { under-load }
Pull-TowardsAnchor = déplacé de { $figures }, vers l'ancre : la traction n'est pas sur la ligne
Pull-StillMoves = déplacé de { $figures } et recule encore ; tenir la charge
Pull-Uncertain = déplacé de { $figures }, trop incertain ; tenir la charge plus longtemps
Pull-Figures = { $moved } ± { $doubt } { $ahead ->
    [yes] en avant
   *[no] en arrière
} en { $seconds } s

## Remarques

Remark-NotJudged = { $kind ->
    [secondAnchor] deux ancres : impossible de dire laquelle chasse tant que le bateau est à portée des deux
    [mooring] sur coffre : ses apparaux ne sont pas vérifiés ; un dérapage ne se voit que hors du cercle saisi
    [shoreLine] amarré à terre : dérapage et longueur de ligne non surveillés, seulement le cercle saisi
   *[sternTo] par l'arrière à quai : une ancre qui chasse vers le quai ne se voit dans aucun point ; seul le cercle saisi est surveillé
}
Remark-NotSettled = pas encore crochée : depuis { $settle }, { $moved } { $farther ->
    [yes] plus loin de la marque
   *[no] plus près de la marque
}
Remark-SecondAnchor = seconde ancre en { $position }, sa ligne porte à { $reach }
Remark-RodeAssumed = longueur de ligne non saisie : les { $rode } sont supposés filés, un dérapage se voit tard ; la saisir avec `veer`
Remark-Counter = ligne filée selon le compteur : { $rode }
Remark-CounterIgnored = compteur de chaîne ignoré : ses { $rode } n'atteignent pas le fond
Remark-Tide = marée { $tide }
Remark-TideAndSoundings = marée { $tide } ; les sondes donnent { $surge } de { $less ->
    [yes] moins
   *[no] plus
}
Remark-NoTide = pas de marée : ligne et quille vérifiées pour le fond actuel seulement
Remark-NoDraught = tirant d'eau non réglé : eau sous la quille non vérifiée ; régler `boat.draught`
Remark-NoDepth = fond inconnu : portée prise égale à toute la ligne, rapport non vérifié
Remark-NoWindAtSet = pas de vent connu quand l'ancre a croché : sautes de vent non surveillées
Remark-NoHeading = pas de cap : place de l'étrave inconnue ; la marge s'élargit de sa distance à l'antenne
Remark-NoAntenna = place de l'antenne non réglée : `boat.antenna_from_bow` ; une demi-longueur d'erreur en plus
Remark-NoTransducer = référence du sondeur inconnue : régler `boat.transducer_depth` ou `boat.draught`
Remark-FixInDoubt = GPS douteux : { $doubts } ; dérapage surveillé avec une marge plus large
Doubt-Satellites = { $count ->
    [one] { $count } satellite
   *[other] { $count } satellites
}
Doubt-Geometry = mauvaise géométrie ({ $dilution })
Doubt-Caution = le récepteur appelle à la prudence
Doubt-Scatter = points dispersés de { $by }
Doubt-Apart = { $by } entre les positions et la vitesse
TideBy-Server = selon le serveur de données : { $words }
TideBy-Prediction = prédite : { $words }
TideBy-Typed = comme saisie
tide-at = { $time ->
    [none] {""}
   *[other] {" "}à { $time }
}
TideWords-High = pleine mer { $height }{ tide-at }
TideWords-Low = basse mer { $height }{ tide-at }
TideWords-NoHigh = pleine mer non donnée
TideWords-NoLow = basse mer non donnée
TideWords-Server = { $high }, { $low } ; les marées suivantes sont inconnues
TideWords-Station = { $station }, jusqu'à { $until } : le plus haut { $highest } à { $highest_at }, le plus bas { $lowest } à { $lowest_at }

## Messages aux téléphones

Push-AlertTitle = { $boat } : { $priority }, { $hazard }
Push-AcknowledgedTitle = { $boat } : acquittée, { $hazard }
Push-GoneTitle = { $boat } : { $hazard } : terminée, non acquittée
Push-NotAcknowledged = { $alert } (depuis { $since }, non acquittée)
Push-Stands = { $alert } (depuis { $since })
Push-ClearedTitle = { $boat } : { $cleared }
Push-Cleared = { $priority } : fin
Push-ClearedUnwatched = { $priority } : fin, aucune ancre n'est surveillée
Push-WeighedTitle = { $boat } : ancre relevée
Push-Weighed = la veille est finie ; { $hazard } : plus surveillé
missed = { $count ->
    [one] { $count } alerte
   *[other] { $count } alertes
} hors ligne, { $anchored ->
    [yes] { $count ->
        [one] terminée
       *[other] terminées
    }
   *[no] aucune ancre n'est surveillée
}
Push-MissedTitle = { $boat } : { missed }
Push-Missed = { $hazards } ; de { $since } à { $until }
Push-DarkTitle = { $boat } : aucune nouvelle de la veille
Push-Dark = muette depuis { $after } : la liaison avec la terre ou la veille elle-même est en panne ; appeler quelqu'un près du bateau
Push-TestTitle = { $boat } : essai, pas d'alerte
Push-Test = envoyé par `{ $channel }` à { $clock } UTC par `windrode check`, aussi urgent qu'une alarme ; tout va bien

DrillTold-Mark = EXERCICE
DrillTold-Message = { DrillTold-Mark } : { $message }

## L'état

PhaseName-moored = amarré
Label-wind = vent
Label-windDirection = vent de
Label-sounder = fond
Label-heading = cap
Label-speed = vitesse
Label-revolutions = moteur
Label-ais = AIS
Row-Anchor = ancre
Row-Mooring = coffre
Row-Reach = portée
Row-Circle = cercle
Row-Snubber = amortis.
Row-Dragging = dérapage
Row-PullTest = tenue
Row-Wind = vent
Row-Depth = fond
Row-Berth = poste
Row-Approach = approche
Row-Way = erre
Row-Vessel = navire
Row-Plan = plan
Row-Room = place
Row-Fix = point
Row-Server = serveur
Row-Journal = journal
Row-Phone = téléphone
ago = { $ago ->
    [none] {""}
   *[other] , il y a { $ago }
}
state = { $state ->
    [unacknowledged] , non acquittée
    [silenced] , muette, non acquittée
    [acknowledged] , acquittée
    [gone] , terminée, non acquittée
    [normal] , terminée
   *[shown] {""}
}
Status-Headline = { $phase }{ $since ->
    [none] {""}
   *[other] {" "}depuis { $since } ({ $ago })
}
Status-NoAlerts = aucune alerte
Status-Alert = { $priority }{ state }, depuis { $since }
Status-AlertInShort = { $priority }{ state } : { $hazard }
Status-WhenSeen = une fois vue : `windrode acknowledge { $hazard }`
Status-AnchorBears = au { $bearing } à { $distance } { $antenna ->
    [yes] de l'antenne GPS
   *[no] du davier
}{ ago }
Status-AnchorAt = { $position }{ $depth ->
    [none] {""}
   *[other] , mouillée par { $depth }
}
Status-Reach = { $reach } ({ $rode ->
    [none] longueur non saisie
   *[other] { $rode } de ligne filés
}{ $scope ->
    [none] {""}
   *[other] , rapport { $scope }:1{ $let_go ->
        [yes] {" "}selon le fond au mouillage
       *[no] { ago }
    }
})
Status-Circle = { $circle } autour { $mooring ->
    [yes] du coffre
   *[no] de l'ancre
}{ $radius ->
    [none] {""}
   *[other] {" "}; bateau { $ago ->
        [none] {""}
       *[other] vu{" "}
    }à { $radius }{ ago }
}
Status-Drag = { $percent ->
    [none] plus de 99
   *[other] { $percent }
} % probable, { $beyond ->
    [none] à portée
   *[other] { $beyond } hors de portée
}{ ago }
Status-PullTest = { $verdict } : { $why }
Status-Wind = { $from } { $speed }{ $gust ->
    [none] {""}
   *[other] , rafales { $gust }
}{ $shift ->
    [none] {""}
   *[other] , { $shift } depuis que l'ancre tient
}{ ago }
Status-Depth = { $depth } d'eau{ ago }
Status-Berth = au { $bearing } à { $distance }{ $time ->
    [none] {""}
   *[other] , encore { $time }
}{ ago }
Status-Approach = vent debout au { $course }{ ago }{ $off ->
    [none] {""}
   *[other] , { $off } à { $port ->
        [yes] bâbord
       *[no] tribord
    } de la ligne du poste
}
Status-Fix = à { $doubt } près (95 %), de `{ $source }`
Status-NoFix = PAS DE POINT : dérapage indétectable{ $ago ->
    [none] {""}
   *[other] {" "}; le dernier il y a { $ago }
}
Status-NotHeard = rien depuis le démarrage de windrode
Status-Failing = { $what ->
    [noBottom] fond perdu
    [noValue] sans valeur
    [impossible] valeurs impossibles
    [frozen] figé
   *[silent] muet
} depuis { $time }
Status-Phone = `{ $channel }` { $state ->
    [untried] pas encore essayé
    [working] marche
    [failing] ÉCHOUE
   *[refused] REFUSÉ
}{ $worked ->
    [none] {""}
   *[other] , a marché il y a { $worked }
}{ $waiting ->
    [0] {""}
    [one] , { $waiting } message attend
   *[other] , { $waiting } messages attendent
}{ $trouble ->
    [yes] {" "}; `windrode check` dit pourquoi
   *[no] {""}
}
Status-Caution = Une aide : ne remplace ni veille ni quart au mouillage. Pas pour naviguer.
Screen-Server = serveur { $link }
Screen-NoAnswer = PAS DE RÉPONSE de windrode depuis { $since }
Screen-IsItRunning = Est-il en marche ? `systemctl status windrode`
Screen-NotWatched = L'ancre n'est peut-être pas surveillée. Veiller à vue.
Screen-NoFigures = Aucune valeur n'est montrée, car aucune n'est actuelle.
Screen-NoAnchor = aucune ancre marquée
Screen-NoBoat = pas de point : bateau non montré
Screen-NorthUp = le nord est en haut
Screen-More = suite : windrode status
Screen-Keys = a acquitter   s muet 30 s   q quitter

## L'image

Picture-Title = { $phase }, aucune alerte
Picture-AlertTitle = { $priority } : { $hazard }
Picture-NotWatched = l'ancre n'est pas surveillée
Picture-Since = depuis { $since }, soit { $time }
Picture-SinceUnknown = depuis un moment inconnu
Picture-Also = aussi { $hazards }
Picture-AnchorFrom = ancre, { $antenna ->
    [yes] de l'antenne
   *[no] de l'étrave
}
Picture-BerthFrom = poste, { $antenna ->
    [yes] de l'antenne
   *[no] de l'étrave
}
Picture-TimeToBerth = temps au poste
Picture-WindFrom = vent de
Picture-HeadToWind = vent debout
Picture-Depth = fond
Picture-DepthAndScope = fond, rapport
Picture-Reach = portée de ligne
Picture-Circle = cercle d'évitage
Picture-Fix = point, 95 %
Picture-Vector = { $distance } { $bearing }{ ago }
Picture-Wind = { $speed } { $from }{ ago }
Picture-DepthAgo = { $depth }{ ago }
Picture-FixDoubt = ±{ $doubt }
Picture-NoFixFor = rien depuis { $time }
Picture-NotKnown = inconnu
Picture-Aid = Une aide : ne remplace pas la veille.
Picture-NotForNavigation = Pas pour naviguer.
Picture-NoPlace = aucun lieu connu
Picture-Seen = vu il y a { $ago }
Picture-NoHeading = pas de cap
Picture-BerthLabel = poste
Picture-CircleLabel = cercle { $radius }
Picture-PlannedLabel = prévu { $radius }
Picture-LeastLabel = mini { $depth }
Picture-ReachLabel = portée { $radius }
Picture-OneHour = 1 h
Picture-Now = 0 h

## Sur la carte des écrans

Drawing-Circle = Cercle d'évitage
Drawing-CircleText = Le centre du bateau reste à moins de { $radius } de l'ancre
Drawing-Anchor = Ancre
Drawing-AnchorText = Où l'ancre est supposée être
Drawing-Berth = Poste de mouillage
Drawing-BerthText = Position prévue de l'ancre

## L'approche

Approaching-TurnUp = venir bout au vent maintenant : cap { $course } ; le poste est à { $beyond } au vent, l'erre est de { $carries }
over-berth = sur le poste ({ $distance }) : mouiller
Approaching-LetGo = { over-berth }
Approaching-LetGoStopped = { over-berth } ; le bateau est arrêté
Approaching-LetGoMoving = { over-berth } ; { $speed } fond, encore { $carries } d'erre{ $stop ->
    [yes] {" "}; casser l'erre d'abord
   *[no] {""}
}
Approaching-Passed = poste dépassé : au { $bearing } à { $distance } ; laisser culer ou refaire un tour
Approaching-StopEngine = stopper le moteur : à { $speed } l'erre est de { $carries }, le poste est à { $distance } (usage)
Approaching-SlowDown = ralentir : { $speed } ; pas plus de { $limit } à moins de { $within } du poste (usage)
WayBy-entered = comme saisi
WayBy-learned = appris de la trace
WayBy-assumed = supposé : deux longueurs à partir de 2 nd ; saisir `boat.way`
Status-Way = erre de { $carries } moteur stoppé, { $by } ; tourner d'autant au-delà du poste

## Les autres navires

Alert-Neighbours = { $first }{ $also }{ $more ->
    [0] {""}
   *[other] {" "}; et { $more } autres
}{ $unseen ->
    [none] {""}
   *[other] {" "}(depuis notre dernière position, à { $unseen })
} ; { $danger ->
    [leaves] regarder dehors, réveiller son équipage, démarrer le moteur
    [passes] regarder dehors, montrer un feu
   *[liesCloser] regarder dehors, sortir les défenses, raccourcir ou changer de place
}
heard-ago = { $heard ->
    [none] {""}
   *[other] {" "}(entendu il y a { $heard })
}
Vessel-Leaves = voisin qui chasse ou en route : { $name } a quitté sa place, à { $off }, au { $bearing }{ $after ->
    [none] {""}
   *[other] , approche à { $closing }, { $least ->
        [none] peut toucher
       *[other] passe à { $least }
    } dans { $after }
}{ heard-ago }
Vessel-Passes = navire qui passe près : { $name } { $least ->
    [none] peut toucher
   *[other] vient à { $least }
} dans { $after } ; à { $off } maintenant, au { $bearing }, approche à { $closing }{ heard-ago }
Vessel-LiesCloser = voisin plus proche : { $name } est à { $off }, au { $bearing }, plus près qu'avant{ heard-ago }
Vessel-Also = {" "}; aussi { $name }, à { $off } au { $bearing }
Vessel-Row = au { $bearing } à { $distance }, { $doing ->
    [atAnchor] au mouillage
    [moored] amarré
    [leftHerPlace] a quitté sa place
   *[underWay] en route
}{ $speed ->
    [none] {""}
   *[other] {" "}à { $speed }
}, entendu il y a { $heard }{ $circle ->
    [none] {""}
   *[other] {" "}; son cercle { $circle } ({ $assumed ->
        [yes] supposé
       *[no] selon sa trace
    })
}{ $rooms ->
    [yes] , place { $together ->
        [none] nulle
       *[other] { $together }
    } en évitant ensemble, au pire { $worst ->
        [none] nulle
       *[other] { $worst }
    }
   *[no] {""}
}
Alert-MayDrag = { $kind ->
    [mooring] le coffre
   *[other] l'ancre
} chasse peut-être, à { $percent } % ; marque au { $bearing } à { $distance } ; regarder la position
Changed-Snubber = l'amortisseur a été déclaré ailleurs { by }, un dérapage se verra tard ; { -if-not } le déclarer de nouveau
Answer-StillOn = { $said } ; l'amortisseur est à { $at } de ligne et le bateau tient sur { $drawn } : le déclarer de nouveau s'il a bougé ou est ôté
Answer-SnubberOff = amortisseur ôté{ $rode ->
    [none] {""}
   *[other] {" "}: le bateau tient sur { $rode } de ligne
}
Answer-SnubberOn = amortisseur à { $at } de ligne, long de { $length } : le bateau tient sur { $drawn }{ $scope ->
    [none] {""}
   *[other] , rapport { $scope }:1
}{ $short ->
    [yes] {" "}; filer au moins { $drawn }, sinon la chaîne travaille et non l'amortisseur
   *[no] {""}
}
Refusal-NoHook = la ligne de l'ancre au croc n'est pas connue ; la donner par `at`
Refusal-NoSnubberLength = la longueur de l'amortisseur n'est pas connue ; la donner par `length`, ou pour de bon par `tackle.snubber_length`
Refusal-HookBeyond = `at` = { $at } dépasse les { $rode } de ligne filés ; donner d'abord la ligne
Remark-Seldom = position toutes les { $every } seulement : un dérapage se voit tard
Status-BerthFromAnchor = à { $distance } de l'ancre, au { $bearing } de celle-ci
Status-Snubber = à { $at } de ligne, long de { $length } : le bateau tient sur { $drawn }

## Cartes, dans les termes de l'OHI S-57 et INT 1

Class-ACHBRT = poste de mouillage
Class-ACHARE = zone de mouillage
Class-CBLARE = zone de câbles
Class-CBLSUB = câble sous-marin
Class-CTNARE = zone de précaution
Class-COALNE = trait de côte
Class-DAMCON = barrage
Class-DEPARE = zone de profondeur
Class-DEPCNT = isobathe
Class-DRGARE = zone draguée
Class-DMPGRD = zone de dépôt
Class-FAIRWY = chenal
Class-FSHFAC = pêcheries
Class-FLODOC = dock flottant
Class-HULKES = vieux navire désarmé
Class-LNDARE = terre
Class-MARCUL = culture marine
Class-MIPARE = zone d'exercices militaires
Class-MORFAC = dispositif d'amarrage
Class-OBSTRN = obstruction
Class-OFSPLF = plate-forme
Class-PILPNT = pieu
Class-PIPARE = zone de conduites
Class-PIPSOL = conduite sous-marine
Class-PONTON = ponton
Class-RESARE = zone réglementée
Class-SLCONS = jetée, mur ou brise-lames
Class-SOUNDG = sonde
Class-UWTROC = roche
Class-UNSARE = zone non hydrographiée
Class-WRECKS = épave
Class-M_COVR = couverture
Class-M_QUAL = qualité des levés
Restriction-1 = mouillage interdit
Restriction-2 = mouillage réglementé
Restriction-3 = pêche interdite
Restriction-4 = pêche réglementée
Restriction-5 = chalutage interdit
Restriction-6 = chalutage réglementé
Restriction-7 = entrée interdite
Restriction-8 = entrée réglementée
Restriction-9 = dragage interdit
Restriction-10 = dragage réglementé
Restriction-11 = plongée interdite
Restriction-12 = plongée réglementée
Restriction-13 = sillage interdit
Restriction-14 = zone à éviter
Restriction-15 = construction interdite
Restriction-16 = rejets interdits
Restriction-17 = rejets réglementés
Restriction-18 = exploration ou exploitation industrielle ou minière interdite
Restriction-19 = exploration ou exploitation industrielle ou minière réglementée
Restriction-20 = forage interdit
Restriction-21 = forage réglementé
Restriction-22 = enlèvement d'objets historiques interdit
Restriction-23 = transbordement interdit
Restriction-24 = traîne sur le fond interdite
Restriction-25 = arrêt interdit
Restriction-26 = débarquement interdit
Restriction-27 = vitesse réglementée
Datum-1 = basse mer moyenne de vive-eau
Datum-2 = basse mer inférieure moyenne de vive-eau
Datum-3 = niveau moyen de la mer
Datum-4 = plus basse mer
Datum-5 = basse mer moyenne
Datum-6 = plus basse mer de vive-eau
Datum-7 = approximativement la basse mer moyenne de vive-eau
Datum-8 = basse mer indienne de vive-eau
Datum-9 = basse mer de vive-eau
Datum-10 = approximativement la plus basse mer astronomique
Datum-11 = à peu près la plus basse mer
Datum-12 = basse mer inférieure moyenne
Datum-13 = basse mer
Datum-14 = approximativement la basse mer moyenne
Datum-15 = approximativement la basse mer inférieure moyenne
Datum-16 = pleine mer moyenne
Datum-17 = pleine mer moyenne de vive-eau
Datum-18 = pleine mer
Datum-19 = approximativement le niveau moyen de la mer
Datum-20 = pleine mer de vive-eau
Datum-21 = pleine mer supérieure moyenne
Datum-22 = basse mer de vive-eau d'équinoxe
Datum-23 = plus basse mer astronomique
Datum-24 = zéro local
Datum-25 = zéro international des Grands Lacs 1985
Datum-26 = niveau moyen de l'eau
Datum-27 = basse mer inférieure de grande marée
Datum-28 = pleine mer supérieure de grande marée
Datum-29 = à peu près la plus haute mer
Datum-30 = plus haute mer astronomique
Sureness-1 = profondeur connue
Sureness-2 = profondeur inconnue
Sureness-3 = sonde douteuse
Sureness-4 = sonde peu sûre
Sureness-5 = pas de fond à la valeur indiquée
Sureness-6 = moindre profondeur connue
Sureness-7 = moindre profondeur inconnue, libre jusqu'à la valeur indiquée
Sureness-8 = valeur signalée (non levée)
Sureness-9 = valeur signalée (non confirmée)
Sureness-10 = profondeur entretenue
Sureness-11 = non entretenue régulièrement
WaterLevel-1 = en partie immergé à pleine mer
WaterLevel-2 = toujours émergé
WaterLevel-3 = toujours immergé
WaterLevel-4 = couvre et découvre
WaterLevel-5 = à fleur d'eau
WaterLevel-6 = inondable
WaterLevel-7 = flottant
Height-Depth = { $at }
Height-Drying = découvrant de { $by }
Charted-Between = { $class } { $least } à { $most }
Charted-At = { $class } { $depth }
Charted-NoDepth = { $class } sans profondeur
Charted-UnknownDepth = { $class }, profondeur inconnue
Charted-FoulGround = fond malsain
Charted-Named = { $what } ({ $name })
Charted-Ruled = { $what } : { $rules }
Charted-Code = code { $number } de { $attribute }
Place-Centre = { $what }, au centre
Place-Off = { $what }, à { $distance } au { $bearing } du centre
Share-All = 100 %
Share-MoreThan99 = plus de 99 %
Share-LessThan1 = moins de 1 %
Share-Part = { $percent } %
Against-Solid = tout n'est pas de l'eau : { $what }
Against-Grounds = échouage à basse mer, il manque { $by } : { $what }
Against-GroundsAtLowWater = échouage à basse mer, il manque { $by } : { $what } ; maintenant { $left } sous la quille à cet endroit
Against-MarginShort = { $left } sous la quille à basse mer, minimum { $margin } : { $what }
Against-UnknownDanger = danger de profondeur inconnue : { $what }{ $count ->
    [one] {""}
   *[other] {" "}; { $count } dangers de ce genre en tout
}
Against-NotCovered = { $share } du cercle n'est sur aucune carte ici ; ce qui s'y trouve n'est pas connu
Against-NoDepth = la carte ne donne pas de profondeur pour { $share } du cercle
Against-Touches = le cercle touche : { $what }
Against-Foul = assez d'eau pour la quille, mais l'ancre peut s'y engager : { $what }
Sheet-Cell = { $name }, { $scale ->
    [none] échelle non indiquée
   *[other] 1:{ $scale }
}, { $datum ->
    [none] zéro des cartes non indiqué
   *[other] zéro des cartes : { $datum }
}{ $edition ->
    [none] {""}
   *[other] , édition { $edition }
}{ $update ->
    [none] {""}
   *[other] , correction { $update }
}{ $issued ->
    [none] {""}
   *[other] , du { $issued }
}
Sheet-Told = { $cell }{ $count ->
    [0] {""}
   *[other] , et { $count } de plus
}, qualité des levés { $survey ->
    [none] non indiquée
   *[other] { $survey }
}
on-chart = { $chart ->
    [none] {""}
   *[other] {" "}(carte { $chart })
}
by-own = { $own ->
    [none] {""}
   *[other] {" "}d'après la sonde du bord ({ $own })
}
RoomToSwing-Clear = évitage libre d'après la carte{ $least ->
    [none] {""}
   *[other] , moindre profondeur { $least } à basse mer{ by-own }
}{ on-chart }
-not-clear = évitage PAS LIBRE
RoomToSwing-NotClear = { -not-clear } : { $reasons }{ on-chart }
RoomToSwing-NotClearHere = { -not-clear } autour de l'ancre : { $reasons } ; mieux vaut mouiller de nouveau maintenant{ on-chart }
RoomToSwing-NotRead = la carte n'est pas encore lue ; ce qu'elle dit suivra
RoomToSwing-NoCharts = pas de cartes à bord : évitage non vérifié{ $own ->
    [none] {""}
   *[other] {" "}; la moindre sonde du bord à cet endroit : { $own } ; les sondes ne valent que là où le bateau est passé
}
RoomToSwing-Unreadable = évitage non vérifié : les cartes sont illisibles, le journal système dit pourquoi
RoomToSwing-NotSized = pas de cercle : la carte ne donne pas de profondeur au poste et le sondeur n'envoie rien
Planning-Circle = { $depth } ; ligne { $rode }{ $scope }{ $may_be_deeper ->
    [yes] { $by_soundings ->
        [yes] {" "}; cette ligne vaut pour la moindre sonde et peut être TROP COURTE, sonder le poste avant de mouiller
       *[no] {" "}; la carte n'y donne pas de profondeur maximale : cette ligne vaut pour la moindre et peut être TROP COURTE, sonder le poste avant de mouiller
    }
   *[no] {""}
}{ $aboard ->
    [none] {""}
   *[other] , PAS ASSEZ À BORD : { $aboard }
} ; { $circle ->
    [none] cette ligne n'atteint pas le fond
   *[other] cercle de { $circle } à la poupe
}
with-scope = { $scope ->
    [none] {""}
   *[other] , rapport { $scope }
}
Planning-ScopeAsAsked = {" "}comme demandé{ with-scope }
Planning-Scope = { with-scope }, prévu { $planned } : { $why }
Planning-DepthWithTide = { $by } ; { $high } d'eau à pleine mer, { $low } à basse mer
Planning-ChartedNoTide = { $by }, marée inconnue
Planning-SoundedNoTide = { $by } ; { $depth } d'eau, marée inconnue
sounded-there = { $own ->
    [none] {""}
   *[other] {" "}(sondé là : { $own })
}
Planning-Charted = profondeur sur la carte { $least } { $most ->
    [none] ou plus
   *[other] à { $most }
}{ sounded-there }
Planning-ChartedAt = profondeur sur la carte { $depth }{ sounded-there }
Planning-SoundedBefore = déjà sondé là : { $least }{ $shoalest ->
    [none] {""}
   *[other] , la moindre sonde { $shoalest }
} ; aucune carte ne donne la profondeur
Planning-Sounded = profondeur sondée ici, pas sur la carte
Sounded-On = le { $day }, { $tide }
Sounded-Depth = { $depth } { $on }
Sounded-Own = sonde du bord { $what }
Sounded-InCircle = sondes du bord : { $squares ->
    [one] un carré de 5 m
   *[other] { $squares } carrés de 5 m
} dans le cercle, la moindre { $shoalest } ; les sondes ne valent que là où le bateau est passé
ReducedBy-Station = marée de { $name }
ReducedBy-Server = marée du serveur de données
ScopeWhy-AsAsked = comme demandé
ScopeWhy-Storm = { $wind } de vent, c'est une tempête
ScopeWhy-Strong = { $wind } de vent, c'est fort
ScopeWhy-HoldingUnknown = la tenue du fond n'est pas connue
ScopeWhy-HoldingPoor = le fond tient mal
ScopeWhy-ChainTooShort = la chaîne est trop courte, il y a du cordage au davier
ScopeWhy-HoldingGood = bonne tenue, pas de vent fort
shoal-share = { $share ->
    [none] {""}
   *[other] {" "}sur { $share } du cercle
}
Alert-ShoalingCharted = trop peu d'eau dans l'évitage{ shoal-share } : { $reasons ->
    [none] guère plus que le minimum sous la quille
   *[other] { $reasons }
} ; raccourcir la ligne ou changer de place avant la basse mer{ on-chart }
Status-Chart = { $told }
Remark-Chart = { $room }

## Causes techniques

LinkFault-NotConnectedYet = pas encore connecté au serveur
LinkFault-NotAnswering = le serveur Signal K ne répond pas
LinkFault-NoConnection = pas de connexion au serveur ; le journal système dit pourquoi
LinkFault-ServerClosed = le serveur a fermé la connexion
LinkFault-Status = le serveur a répondu à la connexion par le statut `{ $status }`
LinkFault-NoHello = le serveur ne s'est pas annoncé en 10 s ; est-ce un serveur Signal K ?
LinkFault-NoPong = le serveur n'a pas répondu à un ping en 15 s
LinkFault-Silent = le serveur n'a rien envoyé depuis 70 s
LinkFault-Reconnecting = reconnexion avec de nouveaux droits
-approve = accepter `windrode` dans les réglages de sécurité du serveur, Access Requests, avec `readwrite`
LinkFault-TokenRefused = le serveur refuse notre jeton ; retirer le jeton et { -approve }
LinkFault-TokenUnreadable = le fichier du jeton est illisible, le journal système dit pourquoi
LinkFault-CertificateChanged = le certificat du serveur n'est pas celui que nous connaissons : c'est peut-être le serveur d'un autre bateau ; le journal système dit que faire
LinkFault-TrustUnreadable = ce que windrode a gardé du certificat du serveur est illisible ; le journal système dit que faire
LinkFault-TokenExpired = notre jeton pour le serveur a expiré ; { -approve }
LinkFault-GivenTokenExpired = le jeton de la configuration a expiré ; en saisir un nouveau, ou le retirer et { -approve }
LinkFault-ServerNotFound = aucun serveur Signal K ne répond sur cet ordinateur, et aucun n'a été trouvé sur le réseau ; le démarrer, ou saisir son adresse dans `server.url`
LinkFault-ServersUnknown = des serveurs Signal K ont été trouvés sur le réseau, mais windrode ne sait pas lequel est celui de ce bateau : `windrode check` les montre ; saisir le bon dans `server.url`
LinkFault-OtherServers = le serveur de ce bateau n'a pas été trouvé sur le réseau, seulement d'autres : `windrode check` les montre ; si l'un d'eux est celui de ce bateau, le saisir dans `server.url`
LinkFault-ServerNotSecure = le serveur de ce bateau a été trouvé sans chiffrement, alors qu'il était chiffré avant : un autre ordinateur se fait peut-être passer pour lui ; le journal système dit que faire
LinkFault-ServerReticent = le serveur trouvé à `{ $url }` ne dit pas qui il est sans jeton ; si c'est celui de ce bateau, le saisir dans `server.url`
LinkFault-AccessDenied = l'accès au serveur a été refusé ; pour redemander, redémarrer windrode et { -approve }
LinkFault-ReadOnly = le serveur ne nous laisse que lire ; donner à windrode le droit `readwrite` dans les réglages de sécurité du serveur, Devices
LinkFault-Unknown = le serveur ne nous connaît pas ; { -approve }
LinkFault-NothingComesBack = ce que nous envoyons ne revient pas du serveur ; vérifier que notre jeton a le droit `readwrite` et qu'aucun autre client ne publie sous `{ $label }`
LinkFault-AlarmsNotShown = le serveur n'affiche pas nos alarmes : `{ $path }`{ $count ->
    [0] {""}
   *[other] {" "}et { $count } de plus
} sans écho en 25 s ; vérifier que notre jeton peut écrire et lire `notifications.*` sur le serveur
LinkFault-Told = { $words }
JournalFault-DiskFull = disque plein : le journal ne peut être écrit ; libérer de la place
JournalFault-ReadOnly = disque en lecture seule : le journal ne peut être écrit ; vérifier la carte ou le disque
JournalFault-Damaged = le journal est endommagé ; le journal système dit que faire
JournalFault-DiskSlow = le disque du journal ne répond pas ; vérifier la carte ou le disque
JournalFault-Unusable = le dossier du journal est inutilisable ; le journal système dit pourquoi
JournalFault-InUse = un autre windrode utilise ce journal ; arrêter l'un des deux
JournalFault-Newer = un windrode plus récent a écrit le journal ; réinstaller cette version
JournalFault-NotWritten = le journal ne peut être écrit ; le journal système dit pourquoi
JournalFault-Told = { $words }
LostWatch-JournalGone = le journal a disparu
LostWatch-StateGone = l'état enregistré a disparu du journal
LostWatch-Unreadable = le journal est illisible
LostWatch-Told = { $words }
Link-Up = connecté
Link-NotConnectedYet = pas encore connecté
Link-Down = coupé : { $why }
Link-Impaired = dégradé : { $why }
Answer-NotOnDisk = { $said } ; ce n'est PAS ENCORE ENREGISTRÉ et serait perdu à un redémarrage : { $why }

## Le plan

Margin-Depth = fond
Margin-Tide = marée
Margin-Keel = quille
Margin-Roller = davier
Margin-Scope = rapport
Margin-Rode = ligne
Margin-Out = FILÉ
Margin-TotalRode = LIGNE TOTALE
Margin-Aboard = à bord
Margin-Reach = portée
Margin-Room = PLACE
Margin-Circle = cercle
Margin-Wind = vent
Margin-Bottom = au fond
Margin-Lifts = soulève
Margin-Strength = résistance
Margin-LookAt = À noter
Margin-Assumed = Supposé
Margin-OnTheChart = Sur la carte
at-lowest = { $tide ->
    [yes] {" "}au plus bas de l'eau
   *[no] {""}
}
at-highest = { $tide ->
    [yes] {" "}au plus haut de l'eau
   *[no] {""}
}
with-scopes = { $now ->
    [none] {""}
   *[other] { $highest ->
        [none] , { $now }
       *[other] , { $highest } au plus haut de l'eau, { $now } maintenant
    }
}
Plan-WaterNow = { $depth } d'eau maintenant{ $below ->
    [transducer] {" "}({ $sounded } sous la sonde)
    [keel] {" "}({ $sounded } sous la quille)
    [datum] {" "}({ $sounded } sur la carte)
   *[surface] {""}
}
Plan-Range = { $high } au plus haut, { $low } au plus bas de l'eau{ $until ->
    [none] {""}
   *[other] {" "}jusqu'au { $until } UTC
}
Plan-Tide = { $words } ; { $cost }
Plan-Grounds = ÉCHOUAGE{ at-lowest }, il manque { $by }
Plan-UnderKeel = { $left } sous la quille{ at-lowest }
Plan-Roller = { $above } au-dessus de l'eau, { $height } au-dessus du fond{ at-highest }
Plan-Scope = { $scope }:1, { $why }
Plan-Rode = { $scope } × { $height } = { $rode }
Plan-Out = { $out }{ with-scopes }{ $more ->
    [none] , assez pour { $scope }:1
   *[other] {" "}; filer encore { $more }, { $all } en tout
}
Plan-TotalRode = { $rode }{ $all ->
    [yes] , tout ce qu'il y a
   *[no] { $marks ->
        [none] {""}
       *[other] {" "}(marques tous les { $marks })
    }
}{ with-scopes }
Plan-Aboard = { $aboard }, { $enough ->
    [yes] assez
   *[no] PAS ASSEZ
}
Plan-NoReach = aucune : { $rode } de ligne n'atteignent pas le fond
Plan-Reach = au plus { $reach } de l'ancre au davier, avec { $rode } filés
Plan-Room = { $widest } à libérer tout autour de l'ancre, plus une marge
Plan-Circle = rayon à l'arrière { $stern }, à l'étrave { $bow }{ $antenna ->
    [none] {""}
   *[other] , à l'antenne { $antenna }
}{ $water ->
    [lowest] {" "}au plus bas de l'eau
    [highest] {" "}au plus haut
   *[any] {""}
}{ $wind ->
    [none] {""}
   *[other] {" "}par { $wind }
}
Plan-Wind = { $wind } tirent { $pull } en continu ; ABYC H-40 compte { $load }, rafales et ressac compris
Plan-Bottom = { $lead ->
    [none] { $lies } restent au fond
   *[other] rien ne reste au fond, l'ancre est soulevée de { $lead }°
} { $steady ->
    [yes] sous la traction continue{ at-highest }
   *[no] sous la charge de H-40
}
Plan-Lifts = { $chain ->
    [yes] la chaîne quitte
   *[no] la ligne quitte
} tout le fond à { $wind } de vent établi, à { $design } avec rafales et ressac (ABYC H-40)
Plan-Strength = { $part } : charge de travail { $load }, atteinte à { $wind } selon H-40
Plan-NoCircle = la ligne n'atteint pas le fond : il n'y a pas de cercle
Plan-Notice = Aucun chiffre ici ne dit que l'ancre tient : la faire crocher, vérifier qu'elle tient, veiller au mouillage. Une aide, qui ne remplace ni le jugement du chef de bord, ni une bonne veille, ni les règles locales. Ne pas utiliser pour la navigation.
Part-Chain = chaîne { $of }
Part-Rope = cordage { $of }
Part-Snubber = amortisseur { $of }
TideCost-NotKnown = inconnue{ $datum ->
    [yes] {" "}; la sonde de la carte est prise telle quelle, il y a plus d'eau presque toute la marée
   *[no] {""}
}
TideCost-Server = le serveur ne donne que la prochaine pleine et basse mer, une suivante peut être plus haute ou plus basse ; la météo change le niveau de quelques décimètres
TideCost-Prediction = la prédiction ignore la météo : vent et pression changent le niveau de quelques décimètres
TideCost-Typed = elle vaut ce que vaut le chiffre ; vent et pression changent le niveau de quelques décimètres
TideCost-None = si l'eau monte de { $more }, il reste un rapport de { $scope } ; si elle baisse de { $more }, la quille perd { $more } d'eau
Assumed-Sounder = fond : comme le sondeur l'indique ici et maintenant
Assumed-WindNow = vent : { $wind }, celui de maintenant ; voir la prévision et donner son vent par `--wind`
Assumed-Bottom = fond : plat d'ici à l'ancre, aussi profond là-bas que sondé ici
Assumed-Tide = marée : non saisie, le fond est supposé rester comme maintenant
Assumed-Roller = davier : non saisi, supposé à { $height } au-dessus de l'eau
Assumed-Length = bateau : longueur non saisie, { $length } hors tout supposés
Assumed-Usual = { $what ->
    [beam] largeur
    [freeboard] franc-bord
   *[masthead] tête de mât
} { $value }
Assumed-Windage = prise au vent : { $usual }, comme d'usage à cette longueur
Assumed-Aboard = ligne : longueur à bord non saisie
Assumed-Marks = ligne : marques non saisies, rien d'arrondi
Assumed-Material = ligne : matière non saisie, soulèvement de l'ancre non vérifié
Assumed-Grade = chaîne : grade non saisi, le plus faible de sa taille supposé, G{ $grade }
Assumed-Weight = chaîne : son poids est calculé d'après sa taille, { $mass } kg/m
Assumed-NewRope = cordage : neuf, sec, sans nœud ; le polyamide s'allonge d'un dixième à 15 % de sa charge de rupture, le polyester de 3 %
Assumed-Stretch = ligne : s'allonge de { $percent } % quand elle est raidie
Assumed-NoWind = vent : non saisi, sa traction non vérifiée
Assumed-Pull = traction du vent : juste à un facteur 1,5 (continue) et 2 (H-40, avec rafales, embardées et ressac) ; le courant n'est pas compté
Caution-Stretches = ligne : elle s'allonge plus que `tackle.stretch` ne le prévoit : { $wind } par le vent attendu, contre { $low } ; environ { $stretch } conviendrait
Caution-NotEnough = pas assez de ligne : il faut { $needed }, { $aboard } à bord ; cela donnerait { $scope } ; chercher moins de fond
bottom-to-roller = { $height } du fond au davier
Caution-AboardShort = la ligne à bord n'atteint pas le fond : { $aboard }, pour { bottom-to-roller }
Caution-ScopeShort = rapport : { $out } filés font { $scope } au plus haut de l'eau ; { $more ->
    [none] il faut { $wanted }
   *[other] { $more } de plus font { $wanted }
}
Caution-OutShort = la ligne filée n'atteint pas le fond : { $out }, pour { bottom-to-roller }
Caution-ScopeSmall = rapport : { $scope } est moins que { $least }:1, une bonne part de la tenue est perdue
Caution-HoldingPoor = tenue : mauvaise, filer plus n'y fait rien ; chercher un autre endroit
Caution-Grounds = quille : échouage au plus bas de l'eau, il manque { $by }
Caution-KeelMargin = quille : { $left } dessous au plus bas de l'eau, minimum { $margin }
Caution-NoDraught = quille : tirant d'eau non saisi, eau sous la quille non vérifiée
Caution-NoTide = marée : inconnue ; { $cost }
Caution-Lifts = ancre : { $surely ->
    [yes] {""}
   *[no] avec rafales et ressac,{" "}
}{ $chain ->
    [yes] la chaîne
   *[no] la ligne
} quitte tout le fond par le vent attendu, et l'ancre est soulevée
Caution-Lead = ancre : soulevée de { $lead }° { $steady ->
    [yes] par la traction continue
   *[no] par rafales et ressac
} ; au-delà de { $most }° elle est supposée ne plus tenir ; filer plus s'il y a la place
Caution-Load = { $part } : charge de travail { $working }, H-40 compte { $design } par ce vent
Caution-LightAnchor = ancre : { $anchor }, c'est moins que les { $wanted } de la table 20.1 du Small Craft Code pour cette longueur et une ancre de tenue ordinaire
BerthTold-At = poste en { $position } : { $depth }{ $own ->
    [none] {""}
   *[other] {" "}; { $own }
}{ $short ->
    [none] {""}
   *[other] {" "}; cette ligne vaut pour la moindre { $short ->
        [sounding] sonde
       *[bound] profondeur
    } et peut être TROP COURTE, sonder le poste avant de mouiller
}
BerthTold-NoChart = aucune carte n'y donne la profondeur
to-most = { $most ->
    [none] ou plus
   *[other] à { $most }
}
BerthTold-Charted = profondeur sur la carte { $least } { to-most } (`{ $cell }`)
BerthTold-Sounded = profondeur { $least } { to-most }, aucune carte ne la donne
BerthTold-NoDraught = tirant d'eau non saisi : eau sous la quille non vérifiée ; le donner par `--draught`

## L'évitage, et la recherche d'un poste

ChartMargin-Least = moindre
ChartMargin-Needed = requis
ChartMargin-Danger = danger
ChartMargin-Unknown = inconnu
ChartMargin-Share = part
ChartMargin-Rules = règles
ChartMargin-Foul = malsain
ChartMargin-Survey = levé
ChartMargin-Chart = carte
Swing-About = { $radius } autour de { $centre }{ $from ->
    [none] {""}
   *[other] , entre { $from } et { $to }
}
Swing-Clear = libre : rien sur la carte ne s'y oppose
Swing-NotClear = PAS LIBRE
Swing-NoDepth = pas de profondeur sur la carte
Swing-Keel = à basse mer { $short ->
    [none] { $left } sous la quille
   *[other] il manque { $short } à la quille
}{ $error ->
    [none] {""}
   *[other] {" "}; la carte peut se tromper de { $error }
}
Swing-Needed = { $needed } sur la carte : tirant d'eau { $draught }, marge { $margin }, marée la plus basse { $tide }
Swing-Nearest = le plus proche : { $danger }
Swing-NoDanger = aucun à moins de { $within }
Swing-Part = { $share } { $what ->
    [tooShoal] trop peu profond ou dangereux
    [notCovered] sur aucune carte
   *[withoutDepth] sans profondeur sur la carte
}
Swing-Survey = qualité du levé { $quality }
Swing-Surveyed = { $quality }{ $end ->
    [none] {""}
   *[other] {" "}; levé jusqu'à { $end }
}
Swing-Notice = Une aide, à ne pas utiliser pour la navigation : voir la carte officielle et sonder le poste.
SurveyQuality-NotAssessed = U : non évaluée
SurveyQuality-Figures = { $zone } : profondeurs ±{ $depth } m + { $percent } %, positions ±{ $position } m{ $more ->
    [yes] {" "}+ 5 % de la profondeur
   *[no] {""}
}
SurveyQuality-Poor = { $zone } : pire que C, profondeurs et positions peuvent être très fausses
ChartCaution-NoTide = marée non saisie : le zéro des cartes vaut comme plus basse eau ; elle peut descendre plus bas
ChartCaution-NoChart = pas de carte de cet endroit ; en ajouter une avec : windrode chart add PATH
ChartCaution-TideOf = marée : selon { $station ->
    [none] la station configurée
   *[other] `{ $station }`
} jusqu'à { $until }
ChartCaution-DatumsDiffer = les cellules mesurent les profondeurs depuis des zéros différents ; comparer chacune au sien
ChartCaution-NoDatum = zéro des cartes : la cellule n'indique pas d'où ses profondeurs sont mesurées
ChartCaution-Coverage = couverture : `{ $name }` n'indique pas où elle finit ; là où elle donne fond ou terre compte comme couvert
ChartCaution-NoScale = échelle : `{ $name }` ne l'indique pas ; la précision du tracé n'est pas connue
ChartCaution-Scale = échelle : un demi-millimètre sur `{ $name }` fait { $by } sur l'eau
ChartCaution-NoSurvey = qualité du levé : non indiquée
SearchColumn-Place = poste
SearchColumn-Bears = au
SearchColumn-Off = à
SearchColumn-Depth = fond
SearchColumn-Rode = ligne
SearchColumn-Circle = cercle
SearchColumn-Spare = marge
Search-Heading = postes à moins de { $within } de { $centre } : { $places } endroits examinés, tous les { $spacing }
Search-Fetch = fetch en milles nautiques, vent de : { $list }
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
Search-Chart = carte : { $cell }
Search-Rejected = endroits qui ne comptent pas : { $list }
Search-Count = { $against } : { $places }
FetchMiles-Near = { $miles }
FetchMiles-Land = { $miles }
FetchMiles-Chart = plus de { $miles } (fin de la carte)
FetchMiles-Limit = plus de { $miles }
SearchAgainst-Land = terre à portée
SearchAgainst-Shoal = trop peu d'eau à basse mer
SearchAgainst-UnknownDanger = danger de profondeur inconnue à portée
SearchAgainst-NoChart = pas entièrement sur une carte
SearchAgainst-NoDepth = pas de profondeur sur la carte
SearchAgainst-Cable = sur un câble
SearchAgainst-Pipe = sur une conduite
SearchAgainst-Restricted = mouillage interdit ou réglementé
SearchAgainst-Foul = fond malsain, épave ou obstruction à portée
SearchAgainst-RodeShort = la ligne à bord est trop courte pour ce fond
SearchAgainst-CircleTooWide = le cercle est trop grand
SearchAgainst-Neighbour = dans le cercle d'un autre navire
SearchAgainst-NoPlan = aucun plan possible
SearchReason-LeastDepth = moindre profondeur du cercle { $depth } sur la carte, { $keel } sous la quille à basse mer
SearchReason-ChartWrong = les profondeurs de la carte peuvent se tromper de { $by }, plus qu'il ne reste sous la quille
SearchReason-Danger = { $room } du cercle au danger le plus proche : { $danger }
SearchReason-NoDanger = aucun danger à moins de { $within } du cercle
SearchReason-Neighbour = { $room } du cercle à celui du navire le plus proche{ $name ->
    [none] {""}
   *[other] , { $name }
}, au { $bearing }, de bord à bord
SearchReason-OpenWater = un mille ou plus d'eau libre : { $winds }
SearchReason-SoundingAway = le fond vient d'une sonde à { $distance } ; sonder le poste
SearchReason-NoSounding = pas de sonde proche ; le fond est celui de la zone de profondeur, sonder le poste
SearchCaution-NoNeighbours = aucun voisin connu : regarder autour
SearchCaution-NoAis = les navires sans AIS ne sont pas connus : regarder autour
SearchCaution-NotJudged = tenue et abri : non jugés ; le fetch est la distance à la terre sur la carte
SearchCaution-NoneFound = aucun poste trouvé ici ; chercher ailleurs, ou plus loin avec `--within`
SearchCaution-NoTide = marée non saisie : le zéro des cartes vaut comme plus basse et plus haute eau ; donner `--tide`, `--low-water` et `--high-water`, ou `--station`
SearchCaution-NoAboard = ligne à bord non saisie : sa longueur n'est pas vérifiée ; donner `--aboard`
SearchCaution-AisNotHeard = aucun AIS reçu
SearchCaution-NotFromHere = des navires sont reçus, mais pas où ils sont d'ici : leurs cercles ne comptent pas
SearchCaution-UnderWay = { $count } des navires reçus font route, ou sont reçus depuis trop peu de temps : ils ne comptent pas
SearchCaution-NoDaemon = le service ne répond pas, donc pas d'AIS : donner des cercles avec `--neighbour`

## La marée

Unit-Miles = { $miles } M
TurnName-High = pleine mer
TurnName-Low = basse mer
TidePage-At = en { $position }{ $distance ->
    [none] {""}
   *[other] , à { $distance } au { $bearing } du lieu demandé
}
TidePage-Secondary = port rattaché : écarts par rapport à { $name } ({ $id })
TidePage-Above = hauteurs rapportées à : { $datum } ({ $short }) ; heures { $zone }
TidePage-NoTurns = ni pleine ni basse mer dans cet intervalle : la marée est trop faible, ou l'intervalle trop court
TidePage-Heights = hauteurs
TidePage-Nearest = ports les plus proches
TidePage-Now = maintenant { $clock } : { $height }, { $rising ->
    [yes] l'eau monte ; pleine mer
   *[no] l'eau baisse ; basse mer
} { $next }, dans { $wait } ; marnage { $range }
TidePage-Constants = Constantes : { $credit }.
TideZone-Utc = en UTC
TideZone-BoatsUtc = en UTC, l'heure du bord
TideZone-Boats = du bord{ $zone ->
    [none] {""}
   *[other] {" "}{ $zone }
} ({ $offset } le premier jour)
TideDatum-Mllw = { Datum-12 }
TideDatum-Lat = { Datum-23 }
TideDatum-Mlws = { Datum-1 }
TideDatum-Llwlt = { Datum-27 }
TideDatum-Nllw = { Datum-11 }
TideDatum-Tlt = basse mer inférieure tropique
TideDatum-Msl = { Datum-3 }, qui n'est pas un zéro des cartes
TideDatum-Chart = zéro des cartes
TideDatum-Own = un zéro propre
TideCaution-Far = ce port est à { $away } : au lieu demandé, la marée peut avoir d'autres heures et d'autres hauteurs
TideCaution-Disagrees = { $name } ({ $id }), à { $away }, a une autre marée : { $by } plus { $earlier ->
    [yes] tôt
   *[no] tard
}, marnage multiplié par { $ratio } ; une terre, un seuil ou un goulet peut les séparer, prendre le port de son côté
TideCaution-MeanSeaLevel = hauteurs au-dessus du niveau moyen de la mer : ne pas les ajouter aux sondes de la carte
TideCaution-NoWeather = calculée d'après la lune et le soleil seuls : vent, pression, pluie et glace changent aussi le niveau, d'un mètre et plus par coup de vent
TideCaution-Margin = le zéro des cartes et le fond changent ; garder une marge, sonder soi-même, suivre les annuaires et les avertissements officiels
TideCaution-Aid = une aide, qui ne remplace ni une bonne veille, ni le quart au mouillage, ni le jugement du chef de bord, ni les règles locales ; ne pas utiliser pour la navigation
Calendar-Day = { $weekday } { $day ->
    [1] 1er
   *[other] { $day }
} { $month } { $year }
Weekday-1 = lun.
Weekday-2 = mar.
Weekday-3 = mer.
Weekday-4 = jeu.
Weekday-5 = ven.
Weekday-6 = sam.
Weekday-7 = dim.
Month-1 = janv.
Month-2 = févr.
Month-3 = mars
Month-4 = avr.
Month-5 = mai
Month-6 = juin
Month-7 = juil.
Month-8 = août
Month-9 = sept.
Month-10 = oct.
Month-11 = nov.
Month-12 = déc.

## Cartes à bord

ChartsKept-Added = ajoutée : { $cell } ; { $megabytes } Mo sur le disque
ChartsKept-SomeAdded = { $added } cellules ajoutées sur { $all }
ChartsKept-Removed = `{ $name }` est retirée
ChartsKept-None = aucune carte ; en ajouter une avec : windrode chart add PATH
ChartsKept-Forgotten = { $count ->
    [0] aucune sonde à retirer
    [one] 1 sonde retirée
   *[other] { $count } sondes retirées
}
ChartsKept-Reading = { $done } cellules sur { $all }, encore { $left }

## La vérification

Looked-Position = position
Looked-Heading = cap
Looked-Wind = vent
Looked-Depth = fond
Looked-Speed = vitesse fond
Looked-Method = nature du point
Looked-Revolutions = régime moteur
Looked-Ais = AIS
Looked-Length = longueur du bateau
Looked-Antenna = distance de l'antenne à l'étrave
Looked-Roller = hauteur du davier
Looked-Transducer = sonde ou tirant d'eau
Looked-Rode = ligne à bord
Without-Position = sans elle, pas de veille au mouillage
Without-Heading = la place de l'étrave n'est pas connue, un dérapage se voit plus tard ; la marge s'élargit de la distance entre antenne et étrave
Without-Wind = pas d'alerte de saute de vent ni de vent fort, pas de cap vent debout
Without-Depth = pas d'alerte si l'eau manque, pas de rapport ; la portée est prise égale à toute la ligne
Without-Speed = une position figée se voit plus tard
Without-Method = l'estime ne se distingue pas d'un vrai point
Without-Revolutions = normal moteur arrêté ; si le serveur ne l'a jamais, commencer et finir soi-même l'essai de tenue
Without-Ais = normal si aucun autre navire n'est proche
Without-Assumed = { $length } supposés ; régler `{ $key }`
Without-Antenna = une demi-longueur d'erreur en plus ; régler `boat.antenna_from_bow`
Without-Transducer = la hauteur d'eau peut rester inconnue ; régler `boat.transducer_depth`
CheckMargin-Fails = échec
CheckMargin-Limits = limite
CheckMargin-Note = note
CheckMargin-Works = marche
Check-Ready = PRÊT : tout ce qu'il faut à la veille marche
Check-ReadyWithLimits = PRÊT, avec { $count ->
    [one] 1 limite
   *[other] { $count } limites
} ci-dessous
Check-NotReady = PAS PRÊT : { $count ->
    [one] 1 échec empêche
   *[other] { $count } échecs empêchent
} la veille
Check-Server = serveur ({ $greeting }, `{ $address }`)
Check-OnNetwork = trouvé sur le réseau : { $offer }
Check-Greeting = { $name } { $version }, ce bateau `{ $own }`
Check-NoGreeting = ne s'est pas annoncé
Check-MayWrite = droit d'écrire
Check-MayNotWrite = droit d'écrire : { $why } ; d'ici là aucun écran ne montre d'alarme
Check-TokenUnread = demandé sans le jeton du service : { $why } ; essayer `sudo -u windrode windrode check`
Check-NoUsableValue = { $what } : aucune valeur utilisable ; { $cost }
Check-LastValueOnly = { $what } : rien de neuf en { $listened }, le serveur n'a que la dernière valeur ; { $cost }
Check-NotHeard = { $what } : rien reçu en { $listened } ; { $cost }
Check-Missing = { $what } : manque, rien en { $listened } ; { $cost }
Check-NotEntered = { $what } : pas de valeur saisie ; { $cost }
Check-SeveralReceivers = plusieurs récepteurs donnent une position : { $sources } ; donner le meilleur comme `fix.source`
Check-NoPhones = téléphones : aucune voie réglée, une alarme ne s'entend que sur un écran
Check-PhoneWorks = téléphone `{ $channel }`
Check-PhoneFails = téléphone `{ $channel }` en échec : { $why ->
    [none] aucune raison donnée
   *[other] { $why }
}
Check-PhoneUntried = téléphone `{ $channel }` pas encore essayé : `windrode check --push { $channel }` envoie un essai
Check-Daemon = service
Check-NoDaemon = aucun service ne répond ici : personne ne veille encore
Check-More = `windrode check --verbose` montre aussi la configuration
Check-CannotWork = la veille ne peut pas marcher ainsi
Check-NoServer = le serveur `{ $url }` : { $why } ; le serveur de données est-il en marche ?
reason = { $why ->
    [none] {""}
   *[other] {" "}: { $why }
}
Check-Sent = `{ $channel }` a accepté un essai ; voir s'il est arrivé au téléphone et s'il vous a réveillé
Check-NotNow = `{ $channel }` ne l'accepte pas maintenant{ reason }
Check-Refuses = `{ $channel }` le refuse{ reason }
Right-Open = le serveur est ouvert à tous
Right-Granted = le serveur nous accorde `{ $level }`
Right-Refused = le serveur refuse notre jeton (`{ $words }`) ; retirer le jeton et { -approve }
Right-NotKnown = nos droits sur le serveur ne sont pas connus : { $why }
-renew = en faire faire un nouveau dans les réglages de sécurité du serveur, Devices, avant la prochaine nuit au mouillage
TokenEnd-Ended = le jeton pour le serveur a expiré le { $at } ; { -renew }
TokenEnd-Ends = le jeton pour le serveur expire le { $at } ; { -renew }

## Les questions de l'installation

Ask-Language = La langue de tout ce que l'équipage lit ou entend : `en` English, `de` Deutsch, `fr` français, `es` español.
Ask-Server = Protocole, hôte et port du serveur.
Ask-Name = Le nom du bateau dans les messages aux téléphones.
Ask-Length = Longueur hors tout.
Ask-Draught = Tirant d'eau maximal, de la surface au point le plus bas de la quille.
Ask-Roller = Hauteur du davier au-dessus de l'eau.
Ask-Antenna = Distance de l'antenne GPS en arrière de l'étrave.
Ask-Rode = Toute la ligne à bord, chaîne et cordage ensemble.
Ask-Chain = La chaîne de l'ancre, par taille et grade.
Ask-Topic = Un sujet (topic) d'un serveur push que le téléphone écoute. Qui le connaît peut le lire.
Setup-Enter = Entrée garde ce qui est entre crochets. Les longueurs ont une unité : `1.9 m`, `6.2 ft` (avec un point).
Setup-AnswersGo = Les réponses vont dans `{ $file }`, où elles se modifient.
Setup-Question = { $ask } [{ $now }] :
Setup-FromServer = { $value }, du serveur
Setup-NoneYet = rien, par exemple { $example }
Setup-Unchanged = `{ $file }` reste tel quel
Setup-Written = écrit : `{ $file }`
Setup-Sending = envoi d'une alarme d'essai au téléphone
Setup-AtNextStart = cela prend effet au prochain démarrage du service
Setup-Restarted = windrode a été démarré ainsi
Setup-NotRestarted = windrode n'a PAS été démarré, personne ne veille : voir `journalctl -u windrode`, puis `sudo systemctl restart windrode`

## La forme d'un ordre

PutTold-Context = `{ $context }` est le contexte d'un autre navire ; les ordres ne valent que pour `vessels.self`
PutTold-Entries = une requête porte `{ $count }` entrées lisibles dans `put` ; écrire un `path` avec sa `value`
PutTold-Unknown = `{ $path }` n'est pas un ordre ; les ordres sont { $known }
PutTold-ReadOnly = `{ $path }` est calculé par windrode et ne se règle pas ; les ordres sont { $known }
PutTold-Value = `{ $command }` a reçu `{ $value }` ; écrire { $form }
PutTold-Member = `{ $command }` n'a pas de membre `{ $key }` ; ses membres sont { $known }
PutTold-Kind = `letGo.kind` a reçu `{ $value }` ; écrire l'un de { $known }
PutTold-Hazard = `{ $command }` a reçu `{ $value }` ; écrire `true` pour tous ou un danger : { $known }
PutTold-IdTooLong = `requestId` est trop long ; écrire un UUID
PutTold-TooMany = trop d'ordres attendent une réponse ; réessayer dans une minute
PutForm-True = `true`
PutForm-BeginOrEnd = `true` pour commencer ou `false` pour finir
PutForm-YesOrNo = `true` ou `false`
PutForm-LetGo = `true`, ou un objet avec `rode`, `position`, `depth`, `kind`, `radius`, `fromTrack`, `reanchored`, tous facultatifs
PutForm-Metres = des mètres, plus de 0 et moins de 1000
PutForm-MetresOrNull = des mètres, plus de 0 et moins de 1000, ou `null`
PutForm-Place = un objet avec `latitude` et `longitude` en degrés
PutForm-BerthOrNull = un objet avec `latitude` et `longitude` en degrés, et au besoin `scope`, `rode`, `wind`, `stay`, ou `null`
PutForm-Snubber = `true`, un objet avec `at` ou `length` en mètres, ou `false` s'il est ôté
PutForm-Scope = un nombre de 1,5 à 20 (écrit avec un point)
PutForm-Wind = des mètres par seconde, plus de 0 et 50 au plus
PutForm-Stay = des secondes, plus de 0 et 2592000 au plus, soit 30 jours
Refused-Because = refusé : { $why }
Refused-NoReason = aucune raison donnée
