# Ce que lisent les unités, en français. Chaque clé figure dans le fichier de chaque langue.

## Dates, nombres et petits mots

date = { $day } { $month ->
    [1] janvier
    [2] février
    [3] mars
    [4] avril
    [5] mai
    [6] juin
    [7] juillet
    [8] août
    [9] septembre
    [10] octobre
    [11] novembre
   *[12] décembre
} { $year }
thousands = { "\u202F" }
browser-days = fr-FR
and = et

## Autour de chaque page

skip = Aller au contenu
language = Langue
caution = Attention
note = Remarque
not-sent = Pas encore envoyé

## Le formulaire de signalement

report-title = Signaler une défaillance
report-short = Signaler
report-of-unit = Signaler une défaillance, { $unit }
report-for = Pour
report-enough = Trois réponses suffisent :
report-which = ce qui s’est passé, si quelqu’un a été blessé, de quel article il s’agit. Pas de noms, de données de santé ni de lieux, s’il vous plaît.
report-own-page = Ce que sont devenus les signalements de votre unité
report-send = Envoyer le signalement
report-mend = Ce que vous avez écrit est toujours là. Veuillez vérifier ce qui est indiqué ci-dessous.
report-photos-again = Les photos doivent être choisies à nouveau.
report-more = Davantage, si vous le savez
report-more-why = taille, durée de port, ce que vous faisiez. Chaque réponse aide à trouver la cause.

outbox-title = Sur ce téléphone
outbox-waiting = En attente de réseau ; l’envoi se fera tout seul.
outbox-waiting-open = En attente de réseau ; l’envoi se fera tant que cette page est ouverte.
outbox-shrinking = Les photos sont en train d’être réduites ; le signalement part ensuite ...
outbox-sending = Envoi en cours ...
outbox-kept = Pas de réseau ou pas de réponse. Le signalement est gardé sur ce téléphone et partira tout seul dès que possible ; vous pouvez fermer cette page.
outbox-kept-open = Pas de réseau ou pas de réponse. Le signalement est gardé sur ce téléphone. Laissez cette page ouverte jusqu’à l’envoi, ou rouvrez-la quand il y a du réseau.
outbox-arrived = Arrivé. Récépissé
outbox-receipt = Ouvrir le récépissé
outbox-refused = Quelque chose doit être corrigé avant l’envoi.
outbox-begun = Commencé, et pas encore envoyé.
outbox-shut = Cet accès a été retiré. Demandez-en un nouveau à l’ingénieur équipement.
outbox-still = Ce que vous avez écrit et choisi est toujours là et reste gardé sur ce téléphone.
outbox-mend = Ouvrir dans le formulaire
outbox-full = Ce téléphone est plein : le signalement ne peut pas y être gardé. Faites de la place, ou envoyez-le maintenant, tant qu’il y a du réseau.

ask-unit = Pour quelle unité ?
ask-unit-choose = Choisir l’unité
ask-story = Que s’est-il passé ?
ask-story-hint = Dans vos propres mots : ce qui a lâché, ce que vous faisiez. 4 000 caractères au plus.
story-left = Caractères restants :
ask-harm = Quelqu’un a-t-il été blessé ?
ask-item = Quel article ?
ask-part = Quelle partie ?
ask-part-unknown = Je ne peux pas le dire
ask-size = Taille
ask-size-unknown = Inconnue
ask-lot_known = L’étiquette de lot, cousue près de la taille
ask-lot_text = Ce que dit l’étiquette de lot
ask-lot_text-hint = Lettres et chiffres tels quels ; ne devinez rien.
ask-maker = Fabricant, s’il figure sur l’étiquette
ask-serial = Numéro de série, s’il y en a un
ask-found_when = Quand l’avez-vous constaté ?
ask-found_on = Quel jour ?
ask-found_on-hint = Laissez vide pour aujourd’hui.
ask-worn = Porté combien de temps, environ ?
ask-worn-hint = Un nombre ; laissez vide si personne ne le sait.
ask-worn_unit = Semaines, mois ou années
ask-altered = Avait-il été modifié ou réparé ?
ask-altered_by = Si oui, par qui et comment ?
ask-altered_by-hint = Un atelier ou une unité, pas de noms.
ask-fate = Qu’est devenu l’article ?
ask-quantity = Combien de semblables ?
ask-quantity-hint = Laissez vide pour un seul.
ask-activity = Que faisiez-vous ?
ask-activity-hint = Escalade, travail en bateau, entraînement ...
ask-contact = Une adresse e-mail pour notre réponse
ask-contact-hint = Seulement si vous voulez aussi notre réponse par e-mail ; le récépissé montre tout. Elle est gardée à part du signalement, vue des seuls ingénieurs, et supprimée { $days } jours après notre dernière réponse.
ask-photo = Photos
ask-photo-hint = Six au plus, avec une règle ou une pièce de monnaie près du dommage. Les données de lieu et d’appareil sont retirées.

label-photograph = Photographier l’étiquette
label-picture = Photo de l’étiquette
label-read = Lu sur l’étiquette :
label-busy = Lecture de l’étiquette ...
label-nothing = Rien n’a pu être lu sur cette image. Approchez le téléphone, avec une lumière de côté, ou tapez le numéro.
label-unloaded = Le lecteur d’étiquettes n’a pas pu être chargé : il lui faut du réseau une fois. Tapez le numéro, ou photographiez l’étiquette quand il y a du réseau.
label-says = L’étiquette dit : { $what }.
label-says-nothing = L’étiquette n’indique ni lot ni numéro de série.
label-compare = Quelque chose y est inhabituel ou incomplet. Veuillez comparer avec l’étiquette.
label-kept = { $why } Le texte est gardé tel quel ; tapez le lot si vous pouvez le lire.
label-why-plain = L’étiquette porte un texte simple, sans l’enveloppe d’une norme.
label-why-envelope = L’enveloppe de l’étiquette n’est pas entière.
label-why-check-digit = La clé de contrôle de { $digits } est { $found } et devrait être { $expected } : l’étiquette a été mal lue.
label-why-element = « { $element } » sur l’étiquette n’est pas un élément lu ici.
label-why-long = Le texte est plus long que ce qu’une étiquette peut contenir.
label-lot = lot
label-serial = numéro de série
label-maker = fabricant
label-part = pièce
label-trade-item = article

## Mots des listes fixes

lot_known-read = Je peux la lire
lot_known-unreadable = Elle est illisible
lot_known-absent = Il n’y a pas d’étiquette
lot_known-not_looked = Je n’ai pas regardé

found_when-on_receipt = Au déballage, tout neuf
found_when-fitting = À l’ajustement
found_when-in_use = Au travail ou à l’entraînement
found_when-after_wash = Après un lavage
found_when-in_repair = Pendant une réparation
found_when-turn_in = À la restitution
found_when-inspection = Lors d’un contrôle

altered-no = Non, tel que remis
altered-authorised = Oui, par un atelier ou sur ordre
altered-by_unit = Oui, par nous

harm-none = Personne
harm-near_miss = Personne, mais quelqu’un aurait pu l’être
harm-injury = Quelqu’un a été blessé

fate-kept = Toujours porté
fate-repaired = Réparé
fate-exchanged = Échangé contre un autre
fate-withdrawn = Retiré du service
fate-lost = Perdu
fate-exhibit = Étiqueté et gardé pour examen

worn_unit-weeks = semaines
worn_unit-months = mois
worn_unit-years = années

caution-out-of-use = Retirez du service tout article de protection ou de portage endommagé et étiquetez-le jusqu’à ce qu’il ait été contrôlé.
caution-no-field-repair = Ne réparez pas sur le terrain les pièces de protection, les éléments porteurs ou les largages, sauf si le manuel technique le dit.
caution-test-release = Un largage rapide doit subir un essai de fonctionnement après toute réparation, tout lavage ou tout remontage.
caution-report-harm = Si quelqu’un a été blessé ou aurait pu l’être, rendez compte tout de suite par la voie hiérarchique ; cet outil ne la remplace pas.
caution-rates-from-reports = Les taux viennent ici des signalements et des registres de remise ; peu de signalements ne prouve pas la sécurité.
caution-judgement-stays = Les chiffres appuient le jugement de l’ingénieur responsable, la spécification en vigueur et l’autorité locale de sécurité ; ils ne les remplacent pas.

order-inspect = Contrôler avant usage
order-stop-use = Ne plus l’utiliser
order-field-modification = Modifier comme indiqué avant usage
order-if-label = { $count ->
    [one] Si l’étiquette de lot porte { $lots } : { $order }
   *[other] Si l’étiquette de lot porte un de ces numéros ({ $lots }) : { $order }
}
order-if-holds = Si votre article contient ceci ({ $what }) : { $order }
order-if-repaired = Si une pièce en a été remplacée, ou en cas de doute : { $order }
order-then-inspect = contrôler avant usage
order-then-stop-use = ne plus l’utiliser
order-then-field-modification = modifier comme indiqué avant usage

## Ce qui ne va pas dans un signalement

wrong-unit = Choisissez l’unité où c’est arrivé.
wrong-item = Choisissez de quel article il s’agit.
wrong-part = Il n’y a pas de pièce { $part }. Choisissez-en une dans la liste.
wrong-harm = Dites si quelqu’un a été blessé, ou presque.
wrong-lot_text = Tapez ce que dit l’étiquette de lot, ou choisissez qu’elle est illisible.
wrong-long = C’est trop long ; 120 caractères suffisent.
wrong-signs = Il y a là des signes qui ne peuvent pas être gardés. Veuillez le taper à nouveau.
wrong-story = Écrivez ce qui s’est passé ; une courte ligne suffit.
wrong-story-long = C’est trop long ; 4 000 caractères au plus. Le reste pourra venir plus tard dans une réponse.
wrong-choice = Choisissez une des réponses.
wrong-future = Cette date est dans l’avenir.
wrong-past = Cette date remonte à plus de 30 ans.
wrong-date = Écrivez la date sous la forme année-mois-jour, par exemple 2026-03-31.
wrong-worn = Écrivez un nombre, par exemple 6 ou 1,5 ; laissez vide si personne ne le sait.
wrong-quantity = Écrivez combien d’articles sont semblables, de 1 à 10 000.
wrong-contact = Écrivez une adresse comme nom@rescue.example, ou laissez le champ vide.
wrong-photos = Six photos au plus ; choisissez celles qui montrent le plus.
wrong-photo-heic = Cette image est au format HEIC, qui ne peut pas être lu ici. Réglez l’appareil photo du téléphone sur « le plus compatible », ou envoyez-en une capture d’écran.
wrong-photo-kind = Ce fichier n’est pas une image JPEG, PNG ou WebP.
wrong-photo-damaged = Cette image est endommagée et ne peut pas être lue. Veuillez en prendre ou en choisir une autre.
wrong-photo-large = Cette image a trop de pixels (50 millions au plus).
wrong-link = Cet accès n’ouvre plus rien. Demandez-en un nouveau à l’ingénieur équipement.
wrong-flood = De très nombreux signalements sont venus par cet accès, celui-ci n’a donc pas été conservé. Revenez en arrière, attendez { $minutes } min et renvoyez-le ; ce que vous avez écrit est encore dans le formulaire. Si quelqu’un a été blessé, signalez-le immédiatement par la voie hiérarchique.
wrong-receipt = Cette adresse n’ouvre aucun récépissé. Vérifiez-la, ou demandez à l’ingénieur équipement.
wrong-photo-number = Cette photo n’existe pas.
wrong-question = Cette question n’existe pas.
wrong-answer = Écrivez une réponse de 1 à 4 000 caractères. Rien n’a été gardé.
wrong-answer-given = Cette question a déjà reçu une réponse ; celle-ci n’a donc pas été gardée. Si elle dit du nouveau, dites-le à l’ingénieur équipement.
wrong-field-long = Une réponse était beaucoup trop longue, donc rien n’a été gardé.
wrong-form-large = C’est plus que ce qui peut être reçu, donc rien n’a été gardé. Envoyez moins de photos.
wrong-form-damaged = Le formulaire est arrivé endommagé, donc rien n’a été gardé. Veuillez l’envoyer à nouveau.
wrong-form-incomplete = Le formulaire est incomplet. Ouvrez-le à nouveau et envoyez-le encore une fois.
wrong-key-used = Ce formulaire a déjà envoyé un autre signalement : son récépissé est { $code }. Ce qui est écrit ici n’a pas été gardé ; relisez-le et envoyez-le encore une fois, il aura alors son propre récépissé.
wrong-own-report = Votre unité n’a pas envoyé de signalement { $report }.
wrong-instruction = Il n’y a pas de consigne de ce numéro.
wrong-instruction-over = Cette consigne a été retirée ; il n’y a rien à répondre.

## Le récépissé, et ce qu’est devenu le signalement

receipt-title = Récépissé
receipt-arrived = Votre signalement est arrivé
receipt-answered = Votre signalement a reçu une réponse
receipt-keep = Gardez ce code et écrivez-le sur l’étiquette de l’article. Il peut se dire à la radio.
receipt-sent = Envoyé pour { $unit } le { $date }.
receipt-our-answer = Notre réponse
receipt-questions = Questions pour vous
receipt-your-answer = Votre réponse
receipt-your-answer-was = Votre réponse :
receipt-send-answer = Envoyer la réponse
receipt-now = Que faire maintenant
receipt-tag = Écrivez sur l’étiquette :
receipt-tag-words = ne pas utiliser, ne pas laver, ne pas réparer
receipt-hand-in = Remettez l’article au magasinier.
receipt-became = Ce qu’il est devenu
receipt-lot = Votre lot est-il concerné ?
receipt-wrote = Ce que vous avez écrit
receipt-photo = Photo envoyée avec le signalement
receipt-address = Gardez l’adresse de cette page : elle montre ce que devient votre signalement. Le code seul n’ouvre rien.
receipt-back = Retour à mon bureau

state-received = Il est arrivé. Personne ne l’a encore examiné.
state-undecided = Un ingénieur l’a examiné ; rien n’est encore décidé.
state-asked = Nous avons une question pour vous, ci-dessous.
state-answer-came = Un ingénieur l’a examiné et vous a posé une question. Votre réponse est arrivée ; elle sera lue ensuite.
state-sorted = Un ingénieur l’a examiné.
state-set-aside = Un ingénieur l’a examiné et mis de côté.
state-answered = Il a reçu une réponse, ci-dessous.
state-taken-back = Il a été retiré le { $day } avec la liste qui l’avait apporté, et ne compte nulle part. { $why }

became-set-aside = Un ingénieur l’a examiné et mis de côté : { $reason }
became-no-reason = aucune raison n’est notée
became-awaited = La suite donnée s’affichera ici dans un instant : les registres sont encore en cours de lecture. Veuillez recharger la page.
became-sorted = Un ingénieur l’a examiné et classé ainsi : { $what }.
became-not-counted = Il ne compte pas comme une défaillance du matériel : { $reason }.
became-alone = Personne d’autre n’a signalé la même chose jusqu’ici.
became-one-of = C’est l’un de { $count } signalements de la même chose.
became-drafted = Une modification a été rédigée ({ $part }) : { $title }.
became-submitted = Elle a été soumise à la commission, qui en décide.
became-approve = La commission l’a approuvée.
became-approve-with-conditions = La commission l’a approuvée, sous conditions.
became-disapprove = La commission s’est prononcée contre.
became-defer = La commission veut en savoir plus avant de décider.
became-before-board = Elle est devant la commission, qui en décide.
became-proved = Les signalements reçus depuis montrent qu’elle est efficace.
became-not-proved = Les signalements reçus depuis ne montrent pas qu’elle est efficace. L’ingénieur cherche encore.
became-withdrawn = Elle a été abandonnée.
became-built = Les nouveaux articles sont fabriqués ainsi.
became-built-from = Les nouveaux articles sont fabriqués ainsi, à partir du lot { $lot }.
became-part = pièce

issued-kept = Les articles déjà remis ne sont pas modifiés.
issued-on-return = Les articles déjà remis sont modifiés quand ils reviennent au magasin.
issued-recalled = Tous les articles déjà remis sont rappelés pour être modifiés. Rendez le vôtre.

lot-suspected = Le lot { $lot } est soupçonné non conforme : il a été signalé plus que les autres. Faites examiner chaque article de ce lot avant de le réutiliser.
lot-like-others = Le lot { $lot }, celui de votre article, ne se distingue pas des autres jusqu’ici. Cela ne prouve pas que vos articles sont sains.
lot-too-early = Il est trop tôt pour dire si le lot { $lot }, celui de votre article, se distingue des autres : on en sait trop peu. Cela ne prouve pas que vos articles sont sains.
lot-strange = Aucun lot { $lot } n’est connu ici. Regardez encore l’étiquette et dites à l’ingénieur équipement ce qu’elle porte.
lot-of-other = Le lot { $lot } est celui d’autre chose ({ $part }), pas de l’article signalé. Regardez encore l’étiquette et dites à l’ingénieur équipement ce qu’elle porte.
lot-before = Le lot { $lot } a été fabriqué avant la modification.
lot-built = Le lot { $lot } a été fabriqué avec la modification.
lot-partly = Le lot { $lot } a été fabriqué en partie avec la modification : certains articles l’ont, d’autres non.
lot-unknown = Personne n’a pu déterminer le lot de votre article ; personne ne peut donc dire si votre lot est concerné. Si vous pouvez lire l’étiquette, dites-le à l’ingénieur équipement.

## La page d’une unité

own-title = Signalements de { $unit }
own-reports-of = Signalements de
own-question = Nous avons une question pour vous
own-report = Signaler quelque chose
own-reported = Ce que vous avez signalé
own-latest = Seuls les derniers sont affichés.
own-nothing = Rien n’a encore été signalé. Peu de signalements ne prouve pas la sécurité : signalez ce qui s’est déchiré, ouvert ou a lâché, si petit que ce soit.
own-all = Tous les signalements de votre unité
own-reply = Répondre à { $number }

stands-received = arrivé
stands-asked = nous avons une question
stands-answer-came = votre réponse est arrivée
stands-sorted = examiné
stands-set-aside = examiné et mis de côté
stands-answered = réponse donnée

## Consignes aux unités et leurs réponses

instruction-title = Consigne { $number }
instruction-to = Consigne { $number } à { $unit } : { $concerns }, { $days }.
instruction-labels = D’après nos livres, vous en détenez : { $items }. Ces numéros de lot figurent sur les étiquettes.
instruction-no-lot = { $count ->
    [one] D’après nos livres, vous détenez 1 article de ce genre dont nous ignorons le lot. Regardez-le aussi.
   *[other] D’après nos livres, vous détenez { $number } articles de ce genre dont nous ignorons le lot. Regardez-les tous.
}
instruction-lot = Lot { $lots }
instruction-every-lot = tous les lots
instruction-one-lot = lot { $lots }
instruction-some-lots = lots { $lots }
instruction-by = de { $maker }
instruction-until-withdrawn = { $from } jusqu’à nouvel ordre
instruction-until = { $from } au { $to }
instruction-own-page = La page de votre unité
instruction-withdrawn = Cette consigne a été retirée. Il n’y a plus rien à faire.
instruction-not-yet = Cette consigne n’est pas encore en vigueur.
reply-was = Ce que vous avez répondu
reply-received = Vous avez dit le { $date } qu’elle était arrivée.
reply-receive = Elle est arrivée ; nous allons regarder
reply-found = Ce que vous avez trouvé
reply-how = Les détenus sont les examinés et les introuvables, ensemble. Zéro est une réponse ; laissez un lot vide pour répondre plus tard.
reply-send = Envoyer les nombres
reply-all = Tout ce que vous en détenez
reply-all-short = Tout ce que vous détenez
reply-no-lot = Articles dont le lot n’est pas connu
reply-lot = Lot { $lot } : d’après nos livres, vous en détenez { $held }
reply-said = { $held } détenus, { $checked } examinés, { $found } trouvés, { $not_located } introuvables, { $turned_in } rendus
reply-mend = Corriger les nombres : { $lot }
reply-mends = Les nombres déjà envoyés figurent ci-dessous ; ce que vous envoyez les remplace.
count-held = Détenus
count-checked = Examinés
count-found = Trouvés avec le défaut
count-not_located = Introuvables
count-turned_in = Rendus
wrong-reply-lot = Votre unité n’est pas interrogée sur le lot { $lot }. Rien n’a été conservé ; répondez pour les lots indiqués ici.
wrong-reply = Ces nombres ne s’accordent pas avec nos livres ; rien n’a été conservé. Ouvrez encore cette page, et dites-le à l’ingénieur équipement si cela se reproduit.
wrong-reply-meanwhile = Quelqu’un de votre unité a répondu entre-temps à ce sujet ; la réponse figure ci-dessus. Vérifiez, et envoyez ce qui est juste.
wrong-count = Écrivez un nombre entier ; zéro est une réponse.
wrong-held = { $held } détenus, mais { $checked } examinés et { $not_located } introuvables font { $together }.
wrong-found = Plus que les { $checked } examinés.
wrong-turned_in = Plus que les { $checked } examinés.

## Avis aux unités

notice-draft = Avis, projet
notice-heading = Soupçon de non-conformité : mettez de côté ce qui porte ces numéros de lot
notice-to = À { $unit }
notice-holds-item = { $count ->
    [one] { $what } est soupçonné non conforme. D’après nos livres, vous en détenez jusqu’à { $number }.
   *[other] { $what } est soupçonné non conforme. D’après nos livres, vous en détenez jusqu’à { $number }.
}
notice-holds-part = { $count ->
    [one] { $what } est soupçonné non conforme. D’après nos livres, vous détenez jusqu’à { $number } article qui en contient.
   *[other] { $what } est soupçonné non conforme. D’après nos livres, vous détenez jusqu’à { $number } articles qui en contiennent.
}
notice-failure = Cherchez : { $failures }.
notice-refitted = { $count ->
    [one] Nous ignorons le lot de 1 d’entre eux : il a reçu la pièce lors d’une réparation. Mettez de côté chaque article de ce genre dont la pièce a été remplacée, ou pour lequel vous ne pouvez pas le dire, quel que soit le lot sur l’étiquette.
   *[other] Nous ignorons le lot de { $number } d’entre eux : ils ont reçu la pièce lors d’une réparation. Mettez de côté chaque article de ce genre dont la pièce a été remplacée, ou pour lequel vous ne pouvez pas le dire, quel que soit le lot sur l’étiquette.
}
notice-unknown = { $count ->
    [one] D’après nos livres, vous détenez aussi 1 article de ce genre dont nous ignorons le lot. Regardez-le aussi.
   *[other] D’après nos livres, vous détenez aussi { $number } articles de ce genre dont nous ignorons le lot. Regardez-les aussi.
}
notice-lots = Lots à chercher
notice-lot = Lot sur l’étiquette
notice-lot-unknown = Lot inconnu, pièce { $part }
notice-size = Taille
notice-in-service = En service
notice-stored = En magasin
notice-concerned = Concernés, au plus
notice-do = Que faire
notice-look = Regardez
notice-look-how = le numéro de lot sur l’étiquette de chaque article de ce genre, en service et en magasin.
notice-aside = Mettez de côté
notice-aside-how = chaque article dont le numéro de lot est dans le tableau, et chaque article dont l’étiquette est illisible. Ne l’utilisez pas.
notice-tag = Étiquetez-le :
notice-tag-how = soupçon de non-conformité, lot { $lot }, la date, votre unité.
notice-leave = Ne le réparez pas
notice-leave-how = , ne le lavez pas et ne le modifiez pas ; le défaut doit rester tel quel jusqu’à son examen.
notice-report = Rendez compte
notice-report-how = du nombre trouvé et du nombre endommagé, même s’il n’y en a aucun, ou plus que dans nos livres. Un article endommagé fait l’objet d’un signalement à part.
notice-foot = Les nombres viennent des registres de remise et peuvent différer de ce que vous détenez ; ce que vous trouvez compte. Adressez vos questions à l’ingénieur équipement.
notice-part-of-lot = { $part }, lot { $lot }

## L’avis d’une modification

fielding-title = Avis aux unités
fielding-what = Ce qui change
fielding-lots = À partir de quel lot
fielding-no-lots = Ni lot ni date ne sont encore fixés ; vous en serez avisés.
fielding-do = Que faire de ce que vous détenez
fielding-stop = N’utilisez plus :
fielding-stop-how = { $what }. Voir la consigne { $number }, { $days }.
fielding-stop-but = N’utilisez plus ceux que nomme le début de cet avis.
fielding-engineer = De l’ingénieur :
fielding-cautions = Attention
fielding-lead = { $part } (pièce { $number }) passe de la révision { $from } à la révision { $to }.
fielding-against = But : mettre fin à { $modes }.
fielding-look = Regardez
fielding-look-how = le numéro de lot sur l’étiquette : le tableau ci-dessus dit quels lots sont nouveaux.
fielding-look-both = le numéro de lot sur l’étiquette et, là où le tableau ci-dessus ne nomme aucun lot, la date de fabrication : il dit ce qui est nouveau.
fielding-look-date = la date de fabrication sur l’étiquette : le tableau ci-dessus dit à partir de quel jour les articles sont nouveaux. Si une étiquette ne porte pas de date, attendez : les lots seront nommés.
fielding-go-on = Continuez d’utiliser
fielding-run-out-how = les articles sains des lots antérieurs jusqu’à usure. Les nouveaux lots suivront d’eux-mêmes.
fielding-sound-how = les articles sains des lots antérieurs.
fielding-send-in = Renvoyez-les
fielding-on-return-how = quand ils reviendraient de toute façon : la modification se fait alors.
fielding-aside = Mettez de côté
fielding-aside-how = chaque article d’un lot antérieur, et chaque article dont l’étiquette est illisible.
fielding-store-aside = En magasin, mettez de côté
fielding-next-lot-how = les articles des lots antérieurs qui ne sont pas encore remis ; ne les remettez plus.
fielding-recall-how = selon les instructions de votre magasin. Ne faites pas la modification vous-mêmes.
fielding-wait = Attendez
fielding-wait-how = des nouvelles des articles des lots antérieurs ; ce n’est pas encore décidé.
fielding-report = Signalez
fielding-report-how = chaque défaillance, des anciens lots comme des nouveaux : c’est ainsi seulement qu’on voit si la modification est efficace.
fielding-leave = Ne modifiez pas
fielding-leave-how = sur le terrain : { $part }.
fielding-maker = Fabricant
fielding-of-lots = Lots
fielding-from = À partir de
fielding-share = Part du lot
fielding-as = État
effect-all-makers = tous les fabricants
effect-one-lot = lot { $lot }
effect-lots = lots { $from } à { $to }
effect-from-lot = à partir du lot { $lot }
effect-to-lot = jusqu’au lot { $lot }
effect-by-date = selon la date
effect-all-new = tout nouveau
effect-shares = { $new } nouveau, { $old } ancien
effect-not-said = non indiqué
paper-draft = Projet, non publié
paper-not-written = Pas encore rédigé.
stage-proposed = proposé
stage-approved = approuvé
stage-accomplished = réalisé
frame-title = Titre
frame-number = Numéro
frame-sheet = Feuille
frame-of = sur
frame-state = État
frame-revision = Révision
frame-owner = Responsable
frame-marking = Marquage
frame-unmarked = aucun
sheet-drafted = Rédigé le
sheet-submitted = Soumis le
sheet-cut-in = Introduit le
sheet-figures = Chiffres du
sheet-unrevised = aucune
sheet-nobody = personne pour l’instant
change-draft = projet
change-submitted = soumise
change-approved = approuvée
change-disapproved = refusée
change-deferred = ajournée
change-cut-in = introduite
change-proved = démontrée
change-not-proved = non démontrée
change-withdrawn = retirée
change-state-not-said = non indiqué

## Quand quelque chose n’est pas possible

error-not-from-here = Pas d’ici
error-not-here = Pas ici
error-quicker = Quelqu’un a été plus rapide
error-large = Trop grand
error-fast = Trop vite
error-fit = Cela ne convient pas
error-ours = Une couture a lâché
error-back = Revenir en arrière
error-unit = Retour à la page de votre unité
error-desk = Au bureau
error-sign-in = Se connecter dans un autre onglet
error-not-your-role = Votre rôle ne le permet pas.
error-not-your-unit = Ceci appartient à une autre unité.
error-number = Si vous posez la question, donnez le numéro { $number }.
error-says-401 = Vous n’êtes pas connecté, ou ne l’êtes plus ; rien n’a donc encore été gardé. Laissez cette page ouverte, connectez-vous dans un autre onglet, puis envoyez-le à nouveau : rechargez cette page, ou revenez au formulaire.
error-says-403 = Ceci a été envoyé depuis la page d’un autre site, donc rien n’a été fait. Ouvrez le formulaire ici et envoyez-le à nouveau.
error-says-404 = Cette page n’existe pas.
error-says-405 = Cette adresse n’accepte pas ce genre de demande.
error-says-408 = Cela a duré trop longtemps et a été arrêté. Rien n’a été changé.
error-says-413 = Ce qui a été envoyé est trop grand ; rien n’en a été gardé.
error-says-415 = Ce qui a été envoyé n’est pas du genre que cette adresse accepte.
error-says-429 = Trop d’essais en peu de temps. Attendez une minute, puis essayez à nouveau.
error-says-4 = Ce qui a été envoyé ne peut pas être lu ; rien n’a été changé.
error-says-5 = Quelque chose s’est mal passé de notre côté. Ce que vous avez envoyé n’a peut-être pas été gardé ; vérifiez avant de l’envoyer à nouveau.

## La feuille affichée avec le code d’une unité

poster-call = Quelque chose s’est déchiré, ouvert ou a lâché ? Dites-le-nous.
poster-scan = Scannez
poster-scan-how = le code avec l’appareil photo de votre téléphone.
poster-answer = Répondez
poster-answer-how = ce qui s’est passé, si quelqu’un a été blessé, quel article. Une photo aide.
poster-write = Écrivez
poster-write-how = le code du récépissé sur l’étiquette de l’article. Vous saurez ce qui a été trouvé.
poster-foot = Fait le { $date } pour { $place }. Ce code ne signale que pour { $unit } ; s’il tombe en de mauvaises mains, demandez-en un nouveau à l’ingénieur équipement.

## Les e-mails à ceux qui ont signalé, et comment les arrêter

mail-subject = Ce qu'est devenu votre signalement { $codes }
mail-hello = Il y a du nouveau sur ce que vous avez signalé.
mail-report = Signalement { $code }
mail-question = Nous avons une question pour vous : { $question }
mail-answer = Notre réponse : { $answer }
mail-link = Le lien ouvre le récépissé, avec tout ce qui est connu ; qui l'a peut le lire.
mail-stop = Pour ne plus recevoir ces e-mails :
notice-mail-order = Sur ordre de { $authority }.
notice-mail-page = Elle figure sur la page de votre unité, où vous dites qu’elle est arrivée et ce que vous avez trouvé.
mail-receipt-arrived = Votre signalement pour { $unit } est arrivé. Son récépissé est { $code }. Écrivez-le sur l’étiquette de l’article.
mail-receipt-address = Ce que devient votre signalement se lit ici ; gardez cette adresse pour vous, car qui la connaît peut lire le signalement :
mail-receipt-left-out = Des fichiers que vous avez envoyés :
mail-receipt-program = Un programme a écrit ceci. Pour signaler une autre défaillance, écrivez un nouveau message.
stop-title = Plus d'e-mails
stop-ask = Vous recevez des e-mails sur des signalements parce que cette adresse a été donnée avec eux. Les arrêter ? Les récépissés restent ouverts par leurs liens.
stop-button = Arrêter les e-mails
stop-done = C'est arrêté. Plus aucun e-mail sur des signalements n'est envoyé à votre adresse.
wrong-stop = Cette adresse n'arrête rien. Les coordonnées du signalement ont peut-être été supprimées ; alors aucun e-mail ne vient plus.
