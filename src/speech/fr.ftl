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
Priority-caution = mise en garde
Priority-warning = avertissement
Priority-alarm = alarme
Priority-emergencyAlarm = urgence

## Alarmes

-lookout = dérapage indétectable, veiller à vue
under-way = { $under_way ->
    [yes] ; en route ? relever l'ancre met fin à la veille
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
    [none] {" "}depuis l'endroit où elle tenait
   *[other] {""}
}{ at-unseen } ; marque au { $bearing } à { $distance }{ $antenna ->
    [yes] {" "}de l'antenne GPS
   *[no] {""}
}{ $reach ->
    [none] {""}
   *[other] , la ligne porte à { $reach }
} ; regarder dehors, démarrer le moteur{ under-way }
Alert-OutsideCircle = hors du cercle d'évitage : { $radius } de l'ancre{ at-unseen }, le cercle fait { $limit } ; surveiller hauts-fonds et voisins{ under-way }
Alert-OutsideLastCircle = hors du cercle d'évitage : { $radius } de la marque{ at-unseen }, le cercle le plus large fait { $limit } ; surveiller hauts-fonds et voisins{ under-way }
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
NoFix-Wanders = ciel mal dégagé, elle erre de { $by } en dix secondes

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

## Messages aux téléphones

Push-AlertTitle = { $boat } : { $priority }, { $hazard }
Push-NotAcknowledged = { $alert } (depuis { $since }, non acquittée)
Push-Stands = { $alert } (depuis { $since })
Push-Acknowledged = acquittée : { $alert } (depuis { $since })
Push-GoneNotAcknowledged = terminée, non acquittée : { $alert } (depuis { $since })
Push-ClearedTitle = { $boat } : { $cleared }
Push-Cleared = { $hazard } : terminé
Push-ClearedUnwatched = { $hazard } : terminé, aucune ancre n'est surveillée
Push-WeighedTitle = { $boat } : ancre relevée
Push-Weighed = ancre relevée, la veille est finie ; { $hazard } : plus surveillé
missed = { $count ->
    [one] { $count } alerte
   *[other] { $count } alertes
} hors ligne, { $anchored ->
    [yes] terminé
   *[no] aucune ancre n'est surveillée
}
Push-MissedTitle = { $boat } : { missed }
Push-Missed = { missed } : { $hazards } ; de { $since } à { $until }
Push-DarkTitle = { $boat } : aucune nouvelle de la veille
Push-Dark = aucune nouvelle de la veille au mouillage depuis { $after } : la liaison avec la terre ou la veille est en panne ; appeler quelqu'un près du bateau
Push-TestTitle = { $boat } : essai, pas d'alerte
Push-Test = ceci est un essai de `{ $channel }`, aussi urgent qu'une alarme, envoyé à { $clock } UTC par `windrode check` ; tout va bien
