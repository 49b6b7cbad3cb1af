# Was Einheiten lesen, auf Deutsch. Jeder Schlüssel steht in der Datei jeder Sprache.

## Daten, Zahlen und kleine Wörter

date = { $day }. { $month ->
    [1] Januar
    [2] Februar
    [3] März
    [4] April
    [5] Mai
    [6] Juni
    [7] Juli
    [8] August
    [9] September
    [10] Oktober
    [11] November
   *[12] Dezember
} { $year }
thousands = { "." }
browser-days = de-DE
and = und

## Um jede Seite

skip = Zum Inhalt springen
language = Sprache
caution = Vorsicht
note = Hinweis
not-sent = Noch nicht gesendet

## Das Meldeformular

report-title = Ausfall melden
report-short = Melden
report-of-unit = Ausfall melden, { $unit }
report-for = Für
report-enough = Drei Antworten genügen:
report-which = was geschehen ist, ob jemand verletzt wurde, um welchen Gegenstand es geht. Bitte keine Namen, keine Angaben zur Gesundheit, keine Orte.
report-own-page = Was aus den Meldungen Ihrer Einheit wurde
report-send = Meldung senden
report-mend = Was Sie geschrieben haben, steht noch da. Bitte sehen Sie nach, was unten genannt ist.
report-photos-again = Fotos müssen neu gewählt werden.
report-more = Mehr, wenn Sie es wissen
report-more-why = Größe, wie lange getragen, wobei es geschah. Jede Antwort hilft, die Ursache zu finden.

outbox-title = Auf diesem Telefon
outbox-waiting = Wartet auf Empfang; wird dann von selbst gesendet.
outbox-waiting-open = Wartet auf Empfang; wird gesendet, solange diese Seite offen ist.
outbox-shrinking = Die Fotos werden verkleinert, dann wird die Meldung gesendet ...
outbox-sending = Wird gesendet ...
outbox-kept = Kein Empfang oder keine Antwort. Die Meldung bleibt auf diesem Telefon und wird von selbst gesendet, sobald es geht; Sie können die Seite schließen.
outbox-kept-open = Kein Empfang oder keine Antwort. Die Meldung bleibt auf diesem Telefon. Lassen Sie diese Seite offen, bis sie gesendet ist, oder öffnen Sie sie wieder, wenn Empfang da ist.
outbox-arrived = Angekommen. Quittung
outbox-receipt = Quittung öffnen
outbox-refused = Etwas darin muss verbessert werden, bevor es gesendet werden kann.
outbox-begun = Begonnen und noch nicht gesendet.
outbox-shut = Dieser Zugang wurde zurückgezogen. Bitten Sie den Ausrüstungsingenieur um einen neuen.
outbox-still = Was Sie geschrieben und gewählt haben, steht noch da und bleibt auf diesem Telefon.
outbox-mend = Im Formular öffnen
outbox-full = Dieses Telefon ist voll: die Meldung kann hier nicht aufbewahrt werden. Schaffen Sie Platz, oder senden Sie jetzt, solange Empfang da ist.

ask-unit = Für welche Einheit?
ask-unit-choose = Einheit wählen
ask-story = Was ist geschehen?
ask-story-hint = In Ihren Worten: was nachgegeben hat, was Sie gerade taten. Höchstens 4.000 Zeichen.
story-left = Zeichen übrig:
ask-harm = Wurde jemand verletzt?
ask-item = Welcher Gegenstand?
ask-part = Welches Teil davon?
ask-part-unknown = Kann ich nicht sagen
ask-size = Größe
ask-size-unknown = Nicht bekannt
ask-lot_known = Das Losetikett, eingenäht nahe der Größe
ask-lot_text = Was auf dem Losetikett steht
ask-lot_text-hint = Buchstaben und Ziffern, wie sie dastehen; nichts erraten.
ask-maker = Hersteller, wenn er auf dem Etikett steht
ask-serial = Seriennummer, wenn es eine gibt
ask-found_when = Wann haben Sie es bemerkt?
ask-found_on = An welchem Tag?
ask-found_on-hint = Leer lassen für heute.
ask-worn = Wie lange ungefähr getragen?
ask-worn-hint = Eine Zahl; leer lassen, wenn es niemand weiß.
ask-worn_unit = Wochen, Monate oder Jahre
ask-altered = War es geändert oder ausgebessert worden?
ask-altered_by = Wenn ja, von wem und wie?
ask-altered_by-hint = Eine Werkstatt oder Einheit, keine Namen.
ask-fate = Was wurde aus dem Gegenstand?
ask-quantity = Wie viele gleiche?
ask-quantity-hint = Leer lassen für einen.
ask-activity = Was taten Sie gerade?
ask-activity-hint = Klettern, Arbeit im Boot, Ausbildung ...
ask-contact = Eine Mailadresse für unsere Antwort
ask-contact-hint = Nur wenn Sie unsere Antwort auch per Mail möchten; die Quittung zeigt alles. Sie wird getrennt von der Meldung aufbewahrt, nur von den Ingenieuren gesehen und { $days } Tage nach unserer letzten Antwort gelöscht.
ask-photo = Fotos
ask-photo-hint = Bis zu sechs, mit einem Lineal oder einer Münze neben dem Schaden. Angaben zu Ort und Kamera werden entfernt.

label-photograph = Etikett fotografieren
label-picture = Foto des Etiketts
label-read = Vom Etikett gelesen:
label-busy = Etikett wird gelesen ...
label-nothing = Auf diesem Bild war nichts zu lesen. Halten Sie das Telefon näher, mit Licht von der Seite, oder tippen Sie die Nummer ein.
label-unloaded = Der Etikettenleser konnte nicht geladen werden: er braucht einmal Empfang. Tippen Sie die Nummer ein, oder fotografieren Sie das Etikett, wenn Empfang da ist.
label-says = Auf dem Etikett steht: { $what }.
label-says-nothing = Das Etikett nennt weder Los noch Seriennummer.
label-compare = Etwas daran ist ungewöhnlich oder nicht ganz. Bitte mit dem Etikett vergleichen.
label-kept = { $why } Der Text bleibt, wie er ist; tippen Sie das Los ein, wenn Sie es lesen können.
label-why-plain = Auf dem Etikett steht einfacher Text, ohne die Hülle einer Norm.
label-why-envelope = Die Hülle des Etiketts ist nicht ganz.
label-why-check-digit = Die Prüfziffer von { $digits } ist { $found } und müsste { $expected } sein: das Etikett wurde falsch gelesen.
label-why-element = „{ $element }“ auf dem Etikett ist kein Element, das hier gelesen wird.
label-why-long = Der Text ist länger, als ein Etikett fassen kann.
label-lot = Los
label-serial = Seriennummer
label-maker = Hersteller
label-part = Teil
label-trade-item = Artikel

## Wörter fester Listen

lot_known-read = Ich kann es lesen
lot_known-unreadable = Es ist nicht lesbar
lot_known-absent = Es gibt kein Etikett
lot_known-not_looked = Ich habe nicht nachgesehen

found_when-on_receipt = Beim Auspacken, fabrikneu
found_when-fitting = Beim Anpassen
found_when-in_use = Bei der Arbeit oder Ausbildung
found_when-after_wash = Nach dem Waschen
found_when-in_repair = Beim Ausbessern
found_when-turn_in = Beim Abgeben
found_when-inspection = Bei einer Prüfung

altered-no = Nein, wie ausgegeben
altered-authorised = Ja, von einer Werkstatt oder auf Anweisung
altered-by_unit = Ja, von uns

harm-none = Niemand
harm-near_miss = Niemand, aber es hätte jemand verletzt werden können
harm-injury = Jemand wurde verletzt

fate-kept = Wird weiter getragen
fate-repaired = Ausgebessert
fate-exchanged = Gegen einen anderen getauscht
fate-withdrawn = Aus dem Gebrauch genommen
fate-lost = Verloren
fate-exhibit = Gekennzeichnet und zur Untersuchung aufbewahrt

worn_unit-weeks = Wochen
worn_unit-months = Monate
worn_unit-years = Jahre

caution-out-of-use = Nehmen Sie beschädigte Schutz- oder Trageausrüstung aus dem Gebrauch und kennzeichnen Sie sie, bis sie geprüft ist.
caution-no-field-repair = Bessern Sie Schutzteile, lasttragende Teile oder Schnelltrennungen nicht im Einsatz aus, es sei denn, das technische Handbuch sagt es.
caution-test-release = Eine Schnelltrennung muss nach jeder Ausbesserung, Wäsche oder jedem Zusammenbau auf Funktion geprüft werden.
caution-report-harm = Wurde jemand verletzt oder hätte verletzt werden können, melden Sie es sofort auf dem Dienstweg; dieses Werkzeug ersetzt ihn nicht.
caution-rates-from-reports = Raten hier beruhen auf Meldungen und Ausgabebelegen; wenige Meldungen sind kein Beweis für Sicherheit.
caution-judgement-stays = Zahlen stützen das Urteil des verantwortlichen Ingenieurs, die geltende Spezifikation und die örtliche Sicherheitsbehörde; sie ersetzen sie nicht.

order-inspect = Vor Gebrauch prüfen
order-stop-use = Nicht mehr benutzen
order-field-modification = Vor Gebrauch wie angegeben ändern
order-if-label = { $count ->
    [one] Wenn auf Ihrem Etikett { $lots } steht: { $order }
   *[other] Wenn auf Ihrem Etikett eine dieser Nummern steht ({ $lots }): { $order }
}
order-if-holds = Wenn Ihr Gegenstand dies enthält ({ $what }): { $order }
order-if-repaired = Wenn ein Teil daran ersetzt wurde oder Sie es nicht wissen: { $order }
order-then-inspect = vor Gebrauch prüfen
order-then-stop-use = nicht mehr benutzen
order-then-field-modification = vor Gebrauch wie angegeben ändern

## Was an einer Meldung nicht stimmt

wrong-unit = Wählen Sie die Einheit, in der es geschah.
wrong-item = Wählen Sie, welcher Gegenstand es war.
wrong-part = Ein Teil { $part } gibt es nicht. Wählen Sie eines aus der Liste.
wrong-harm = Sagen Sie, ob jemand verletzt wurde, oder beinahe.
wrong-lot_text = Schreiben Sie, was auf dem Losetikett steht, oder wählen Sie, dass es nicht lesbar ist.
wrong-long = Das ist zu lang; 120 Zeichen genügen.
wrong-signs = Darin sind Zeichen, die nicht aufbewahrt werden können. Bitte noch einmal eintippen.
wrong-story = Schreiben Sie, was geschehen ist; eine kurze Zeile genügt.
wrong-story-long = Das ist zu lang; höchstens 4.000 Zeichen. Der Rest kann später in eine Antwort.
wrong-choice = Wählen Sie eine der Antworten.
wrong-future = Dieser Tag liegt in der Zukunft.
wrong-past = Dieser Tag liegt mehr als 30 Jahre zurück.
wrong-date = Schreiben Sie den Tag als Jahr-Monat-Tag, etwa 2026-03-31.
wrong-worn = Schreiben Sie eine Zahl, etwa 6 oder 1,5; leer lassen, wenn es niemand weiß.
wrong-quantity = Schreiben Sie, wie viele gleich sind, von 1 bis 10.000.
wrong-contact = Schreiben Sie eine Adresse wie name@rescue.example, oder lassen Sie das Feld leer.
wrong-photos = Höchstens sechs Fotos; wählen Sie die, die am meisten zeigen.
wrong-photo-heic = Dieses Bild hat das Format HEIC, das hier nicht gelesen werden kann. Stellen Sie die Kamera des Telefons auf „maximale Kompatibilität“, oder senden Sie ein Bildschirmfoto davon.
wrong-photo-kind = Diese Datei ist kein Bild in JPEG, PNG oder WebP.
wrong-photo-damaged = Dieses Bild ist beschädigt und kann nicht gelesen werden. Bitte nehmen Sie ein anderes.
wrong-photo-large = Dieses Bild hat zu viele Bildpunkte (höchstens 50 Millionen).
wrong-link = Dieser Zugang öffnet nichts mehr. Bitten Sie den Ausrüstungsingenieur um einen neuen.
wrong-flood = Über diesen Zugang sind sehr viele Meldungen gekommen, darum wurde diese nicht aufbewahrt. Gehen Sie zurück, warten Sie { $minutes } min und senden Sie sie noch einmal; was Sie geschrieben haben, steht noch im Formular. Wurde jemand verletzt, melden Sie es sofort auf dem Dienstweg.
wrong-receipt = Diese Adresse öffnet keine Quittung. Sehen Sie noch einmal nach, oder fragen Sie den Ausrüstungsingenieur.
wrong-photo-number = Dieses Foto gibt es nicht.
wrong-question = Diese Frage gibt es nicht.
wrong-answer = Schreiben Sie eine Antwort von einem bis 4.000 Zeichen. Nichts wurde aufbewahrt.
wrong-answer-given = Diese Frage ist schon beantwortet, darum wurde diese Antwort nicht aufgenommen. Wenn sie etwas Neues sagt, sagen Sie es dem Ausrüstungsingenieur.
wrong-field-long = Eine Antwort war viel zu lang, darum wurde nichts aufbewahrt.
wrong-form-large = Das ist mehr, als angenommen werden kann, darum wurde nichts aufbewahrt. Senden Sie weniger Fotos.
wrong-form-damaged = Das Formular kam beschädigt an, darum wurde nichts aufbewahrt. Bitte senden Sie es noch einmal.
wrong-form-incomplete = Das Formular ist unvollständig. Öffnen Sie es neu und senden Sie es noch einmal.
wrong-key-used = Mit diesem Formular kam schon eine andere Meldung: ihre Quittung ist { $code }. Was hier steht, wurde nicht aufbewahrt; sehen Sie es durch und senden Sie es noch einmal, dann bekommt es eine eigene Quittung.
wrong-own-report = Ihre Einheit hat keine Meldung { $report } gesendet.
wrong-instruction = Eine Anweisung mit dieser Nummer gibt es nicht.
wrong-instruction-over = Diese Anweisung wurde zurückgezogen; es gibt nichts zu antworten.

## Die Quittung, und was aus der Meldung wurde

receipt-title = Quittung
receipt-arrived = Ihre Meldung ist angekommen
receipt-answered = Ihre Meldung ist beantwortet
receipt-keep = Bewahren Sie diesen Code auf und schreiben Sie ihn auf den Anhänger des Gegenstands. Er lässt sich über Funk durchgeben.
receipt-sent = Gesendet für { $unit } am { $date }.
receipt-our-answer = Unsere Antwort
receipt-questions = Fragen an Sie
receipt-your-answer = Ihre Antwort
receipt-your-answer-was = Ihre Antwort:
receipt-send-answer = Antwort senden
receipt-now = Was jetzt zu tun ist
receipt-tag = Schreiben Sie auf den Anhänger:
receipt-tag-words = nicht benutzen, nicht waschen, nicht ausbessern
receipt-hand-in = Geben Sie den Gegenstand beim Lagerverwalter ab.
receipt-became = Was daraus wurde
receipt-lot = Ist Ihr Los betroffen?
receipt-wrote = Was Sie geschrieben haben
receipt-photo = Foto, das mit der Meldung kam
receipt-address = Bewahren Sie die Adresse dieser Seite auf: sie zeigt, was aus Ihrer Meldung wird. Der Code allein öffnet nichts.
receipt-back = Zurück zu meinem Schreibtisch

state-received = Sie ist angekommen. Noch hat niemand sie angesehen.
state-undecided = Ein Ingenieur hat sie angesehen; entschieden ist noch nichts.
state-asked = Wir haben eine Frage an Sie, weiter unten.
state-answer-came = Ein Ingenieur hat sie angesehen und Ihnen eine Frage gestellt. Ihre Antwort ist da; sie wird als Nächstes gelesen.
state-sorted = Ein Ingenieur hat sie angesehen.
state-set-aside = Ein Ingenieur hat sie angesehen und beiseite gelegt.
state-answered = Sie ist beantwortet, weiter unten.
state-taken-back = Sie wurde am { $day } mit der Liste zurückgenommen, mit der sie kam, und zählt nirgends. { $why }

became-set-aside = Ein Ingenieur hat sie angesehen und beiseite gelegt: { $reason }
became-no-reason = ein Grund ist nicht vermerkt
became-awaited = Was daraus wurde, steht gleich hier: die Bücher werden noch gelesen. Bitte laden Sie die Seite neu.
became-sorted = Ein Ingenieur hat sie angesehen und so eingeordnet: { $what }.
became-not-counted = Sie zählt nicht als Ausfall der Ausrüstung: { $reason }.
became-alone = Bisher hat niemand sonst dasselbe gemeldet.
became-one-of = Sie ist eine von { $count } Meldungen desselben.
became-drafted = Eine Änderung wurde entworfen ({ $part }): { $title }.
became-submitted = Sie wurde dem Ausschuss vorgelegt, der darüber entscheidet.
became-approve = Der Ausschuss hat sie gebilligt.
became-approve-with-conditions = Der Ausschuss hat sie mit Auflagen gebilligt.
became-disapprove = Der Ausschuss hat dagegen entschieden.
became-defer = Der Ausschuss will mehr wissen, bevor er entscheidet.
became-before-board = Sie liegt dem Ausschuss vor, der darüber entscheidet.
became-proved = Meldungen seither zeigen, dass sie wirkt.
became-not-proved = Meldungen seither zeigen nicht, dass sie wirkt. Der Ingenieur sucht weiter.
became-withdrawn = Sie wurde aufgegeben.
became-built = Neue Gegenstände werden danach gefertigt.
became-built-from = Neue Gegenstände werden danach gefertigt, ab Los { $lot }.
became-part = Teil

issued-kept = Bereits ausgegebene Gegenstände werden nicht geändert.
issued-on-return = Bereits ausgegebene Gegenstände werden geändert, wenn sie ins Lager zurückkommen.
issued-recalled = Alle bereits ausgegebenen Gegenstände werden zur Änderung zurückgerufen. Geben Sie Ihren ab.

lot-suspected = Los { $lot } steht im Verdacht, fehlerhaft zu sein: davon wurde mehr gemeldet als von den anderen. Lassen Sie jeden Gegenstand dieses Loses ansehen, bevor er wieder benutzt wird.
lot-like-others = Los { $lot }, zu dem Ihr Gegenstand gehört, fällt bisher nicht auf. Das beweist nicht, dass Ihre Gegenstände in Ordnung sind.
lot-too-early = Es ist zu früh, um zu sagen, ob Los { $lot }, zu dem Ihr Gegenstand gehört, auffällt: davon ist zu wenig bekannt. Das beweist nicht, dass Ihre Gegenstände in Ordnung sind.
lot-strange = Ein Los { $lot } ist hier nicht bekannt. Sehen Sie noch einmal auf das Etikett und sagen Sie dem Ausrüstungsingenieur, was dort steht.
lot-of-other = Los { $lot } gehört zu etwas anderem ({ $part }), nicht zu dem gemeldeten Gegenstand. Sehen Sie noch einmal auf das Etikett und sagen Sie dem Ausrüstungsingenieur, was dort steht.
lot-before = Los { $lot } wurde vor der Änderung gefertigt.
lot-built = Los { $lot } wurde nach der Änderung gefertigt.
lot-partly = Los { $lot } wurde zum Teil nach der Änderung gefertigt: manche Gegenstände haben sie, manche nicht.
lot-unknown = Das Los Ihres Gegenstands war nicht festzustellen, darum kann niemand sagen, ob Ihr Los betroffen ist. Wenn Sie das Etikett lesen können, sagen Sie es dem Ausrüstungsingenieur.

## Die eigene Seite einer Einheit

own-title = Meldungen von { $unit }
own-reports-of = Meldungen von
own-question = Wir haben eine Frage an Sie
own-report = Etwas melden
own-reported = Was Sie gemeldet haben
own-latest = Nur die letzten sind zu sehen.
own-nothing = Noch wurde nichts gemeldet. Wenige Meldungen sind kein Beweis für Sicherheit: melden Sie, was riss, aufging oder nachgab, und sei es noch so klein.
own-all = Alle Meldungen Ihrer Einheit
own-reply = Auf { $number } antworten

stands-received = angekommen
stands-asked = wir haben eine Frage
stands-answer-came = Ihre Antwort ist da
stands-sorted = angesehen
stands-set-aside = angesehen und beiseite gelegt
stands-answered = beantwortet

## Anweisungen an Einheiten und ihre Antworten

instruction-title = Anweisung { $number }
instruction-to = Anweisung { $number } an { $unit }: { $concerns }, { $days }.
instruction-labels = Nach unseren Büchern haben Sie davon: { $items }. Diese Losnummern stehen auf den Etiketten.
instruction-no-lot = { $count ->
    [one] Nach unseren Büchern haben Sie 1 solchen Gegenstand, dessen Los wir nicht kennen. Sehen Sie auch diesen an.
   *[other] Nach unseren Büchern haben Sie { $number } solche Gegenstände, deren Los wir nicht kennen. Sehen Sie jeden davon an.
}
instruction-lot = Los { $lots }
instruction-every-lot = jedes Los
instruction-one-lot = Los { $lots }
instruction-some-lots = Lose { $lots }
instruction-by = von { $maker }
instruction-until-withdrawn = { $from } bis auf Widerruf
instruction-until = { $from } bis { $to }
instruction-own-page = Seite Ihrer Einheit
instruction-withdrawn = Diese Anweisung wurde zurückgezogen. Es ist nichts mehr zu tun.
instruction-not-yet = Diese Anweisung gilt noch nicht.
reply-was = Was Sie geantwortet haben
reply-received = Am { $date } haben Sie gesagt, dass sie ankam.
reply-receive = Sie ist da; wir sehen nach
reply-found = Was Sie gefunden haben
reply-how = Vorhanden sind die angesehenen und die nicht auffindbaren zusammen. Null ist eine Antwort; lassen Sie ein Los leer, um später zu antworten.
reply-send = Zahlen senden
reply-all = Alles, was Sie davon haben
reply-all-short = Alles, was Sie haben
reply-no-lot = Gegenstände, deren Los nicht bekannt ist
reply-lot = Los { $lot }: nach unseren Büchern haben Sie { $held }
reply-said = { $held } vorhanden, { $checked } angesehen, { $found } gefunden, { $not_located } nicht auffindbar, { $turned_in } abgegeben
reply-mend = Zahlen berichtigen: { $lot }
reply-mends = Unten stehen die Zahlen, die Sie schon gesendet haben; was Sie jetzt senden, tritt an ihre Stelle.
count-held = Vorhanden
count-checked = Angesehen
count-found = Mit dem Fehler gefunden
count-not_located = Nicht auffindbar
count-turned_in = Abgegeben
wrong-reply-lot = Nach Los { $lot } ist Ihre Einheit nicht gefragt. Nichts wurde aufgenommen; antworten Sie zu den Losen, die hier stehen.
wrong-reply = Diese Zahlen passen nicht zu unseren Büchern, darum wurde nichts aufgenommen. Öffnen Sie diese Seite noch einmal, und sagen Sie es dem Ausrüstungsingenieur, wenn es wieder geschieht.
wrong-reply-meanwhile = Jemand aus Ihrer Einheit hat hierzu inzwischen geantwortet; die Antwort steht oben. Sehen Sie noch einmal nach, und senden Sie, was stimmt.
wrong-count = Schreiben Sie eine ganze Zahl; null ist eine Antwort.
wrong-held = { $held } vorhanden, aber { $checked } angesehen und { $not_located } nicht auffindbar ergeben { $together }.
wrong-found = Mehr als die { $checked } angesehenen.
wrong-turned_in = Mehr als die { $checked } angesehenen.

## Mitteilungen an Einheiten

notice-draft = Mitteilung, Entwurf
notice-heading = Verdacht auf Fehler: Gegenstände mit diesen Losnummern aussondern
notice-to = An { $unit }
notice-holds-item = { $count ->
    [one] { $what } steht im Verdacht, fehlerhaft zu sein. Nach unseren Büchern haben Sie davon bis zu 1 Stück.
   *[other] { $what } steht im Verdacht, fehlerhaft zu sein. Nach unseren Büchern haben Sie davon bis zu { $number } Stück.
}
notice-holds-part = { $count ->
    [one] { $what } steht im Verdacht, fehlerhaft zu sein. Nach unseren Büchern haben Sie bis zu 1 Gegenstand, der es enthält.
   *[other] { $what } steht im Verdacht, fehlerhaft zu sein. Nach unseren Büchern haben Sie bis zu { $number } Gegenstände, die es enthalten.
}
notice-failure = Achten Sie auf: { $failures }.
notice-refitted = { $count ->
    [one] Von 1 davon kennen wir das Los nicht: Das Teil kam bei einer Reparatur hinein. Sondern Sie jeden solchen Gegenstand aus, dessen Teil ersetzt wurde oder bei dem Sie es nicht erkennen, gleich welches Los auf dem Etikett steht.
   *[other] Von { $number } davon kennen wir das Los nicht: Das Teil kam bei einer Reparatur hinein. Sondern Sie jeden solchen Gegenstand aus, dessen Teil ersetzt wurde oder bei dem Sie es nicht erkennen, gleich welches Los auf dem Etikett steht.
}
notice-unknown = { $count ->
    [one] Nach unseren Büchern haben Sie außerdem 1 solchen Gegenstand, dessen Los wir nicht kennen. Sehen Sie auch diesen an.
   *[other] Nach unseren Büchern haben Sie außerdem { $number } solche Gegenstände, deren Los wir nicht kennen. Sehen Sie auch diese an.
}
notice-lots = Gesuchte Lose
notice-lot = Los auf dem Etikett
notice-lot-unknown = Los unbekannt, Teil { $part }
notice-size = Größe
notice-in-service = Im Gebrauch
notice-stored = Im Lager
notice-concerned = Betroffen, höchstens
notice-do = Was zu tun ist
notice-look = Ansehen:
notice-look-how = die Losnummer auf dem Etikett jedes solchen Gegenstands, im Gebrauch und im Lager.
notice-aside = Aussondern:
notice-aside-how = jeden Gegenstand mit einer Losnummer der Tabelle und jeden, dessen Etikett nicht lesbar ist. Nicht benutzen.
notice-tag = Kennzeichnen:
notice-tag-how = Verdacht auf Fehler, Los { $lot }, das Datum, Ihre Einheit.
notice-leave = Nicht ausbessern
notice-leave-how = , waschen oder ändern; der Fehler muss bleiben, wie er ist, bis er untersucht ist.
notice-report = Melden:
notice-report-how = wie viele Sie gefunden haben und wie viele beschädigt waren, auch wenn es keine waren oder mehr, als in unseren Büchern steht. Ein beschädigter Gegenstand ist eine eigene Meldung.
notice-foot = Die Zahlen stammen aus Ausgabebelegen und können von Ihrem Bestand abweichen; es gilt, was Sie finden. Fragen richten Sie an den Ausrüstungsingenieur.
notice-part-of-lot = { $part } Los { $lot }

## Die Mitteilung über eine Änderung

fielding-title = Mitteilung an Einheiten
fielding-what = Was sich ändert
fielding-lots = Ab welchem Los
fielding-no-lots = Noch stehen Los und Tag nicht fest; Sie erfahren es.
fielding-do = Was mit dem zu tun ist, was Sie haben
fielding-stop = Nicht mehr benutzen:
fielding-stop-how = { $what }. Siehe Anweisung { $number }, { $days }.
fielding-stop-but = Die am Anfang dieser Mitteilung genannten benutzen Sie nicht mehr.
fielding-engineer = Vom Ingenieur:
fielding-cautions = Vorsicht
fielding-lead = { $part } (Teil { $number }) ändert sich von Stand { $from } auf Stand { $to }.
fielding-against = Damit soll aufhören: { $modes }.
fielding-look = Sehen Sie
fielding-look-how = auf die Losnummer des Etiketts: die Tabelle oben sagt, welche Lose neu sind.
fielding-look-both = auf die Losnummer des Etiketts und, wo die Tabelle oben kein Los nennt, auf das Herstelldatum: sie sagt, was neu ist.
fielding-look-date = auf das Herstelldatum des Etiketts: die Tabelle oben sagt, ab welchem Tag Gegenstände neu sind. Zeigt ein Etikett kein Datum, warten Sie: die Lose werden noch genannt.
fielding-go-on = Benutzen Sie
fielding-run-out-how = einwandfreie Gegenstände früherer Lose weiter, bis sie verschlissen sind. Neue Lose folgen von selbst.
fielding-sound-how = einwandfreie Gegenstände früherer Lose weiter.
fielding-send-in = Senden Sie sie ein,
fielding-on-return-how = wenn sie ohnehin zurückkämen: dann wird die Änderung gemacht.
fielding-aside = Sondern Sie
fielding-aside-how = jeden Gegenstand eines früheren Loses aus und jeden, dessen Etikett nicht lesbar ist.
fielding-store-aside = Legen Sie im Lager
fielding-next-lot-how = noch nicht ausgegebene Gegenstände früherer Lose beiseite; geben Sie sie nicht mehr aus.
fielding-recall-how = wie Ihr Lager es anweist. Ändern Sie sie nicht selbst.
fielding-wait = Warten Sie
fielding-wait-how = auf Nachricht zu Gegenständen früherer Lose; darüber ist noch nicht entschieden.
fielding-report = Melden Sie
fielding-report-how = jeden Ausfall, alter wie neuer Lose: nur so zeigt sich, ob die Änderung wirkt.
fielding-leave = Ändern Sie nichts
fielding-leave-how = im Einsatz an: { $part }.
fielding-maker = Hersteller
fielding-of-lots = Lose
fielding-from = Ab
fielding-share = Anteil des Loses
fielding-as = Stand
effect-all-makers = alle Hersteller
effect-one-lot = Los { $lot }
effect-lots = Lose { $from } bis { $to }
effect-from-lot = ab Los { $lot }
effect-to-lot = bis Los { $lot }
effect-by-date = nach Tag
effect-all-new = ganz neu
effect-shares = { $new } neu, { $old } alt
effect-not-said = nicht gesagt
paper-draft = Entwurf, nicht veröffentlicht
paper-not-written = Noch nicht geschrieben.
stage-proposed = vorgeschlagen
stage-approved = gebilligt
stage-accomplished = ausgeführt
frame-title = Titel
frame-number = Nummer
frame-sheet = Blatt
frame-of = von
frame-state = Status
frame-revision = Stand
frame-owner = Zuständig
frame-marking = Kennzeichnung
frame-unmarked = keine
sheet-drafted = Entworfen
sheet-submitted = Eingereicht
sheet-cut-in = Eingeführt
sheet-figures = Zahlen vom
sheet-unrevised = keiner
sheet-nobody = noch niemand
change-draft = Entwurf
change-submitted = eingereicht
change-approved = gebilligt
change-disapproved = abgelehnt
change-deferred = zurückgestellt
change-cut-in = eingeführt
change-proved = nachgewiesen
change-not-proved = nicht nachgewiesen
change-withdrawn = zurückgezogen
change-state-not-said = nicht angegeben

## Wenn etwas nicht geht

error-not-from-here = Nicht von hier
error-not-here = Hier nicht
error-quicker = Jemand war schneller
error-large = Zu groß
error-fast = Zu schnell
error-fit = Das hat nicht gepasst
error-ours = Eine Naht ist aufgegangen
error-back = Zurück, wo Sie waren
error-unit = Zurück zur Seite Ihrer Einheit
error-desk = Zum Schreibtisch
error-sign-in = In einem anderen Tab anmelden
error-not-your-role = Ihre Rolle erlaubt das nicht.
error-not-your-unit = Das gehört einer anderen Einheit.
error-number = Wenn Sie danach fragen, nennen Sie die Nummer { $number }.
error-says-401 = Sie sind nicht oder nicht mehr angemeldet; darum wurde noch nichts aufbewahrt. Lassen Sie diese Seite offen, melden Sie sich in einem anderen Tab an und senden Sie es dann noch einmal: Laden Sie diese Seite neu, oder gehen Sie zum Formular zurück.
error-says-403 = Das wurde von der Seite eines anderen Dienstes gesendet, darum geschah nichts. Öffnen Sie das Formular hier und senden Sie es noch einmal.
error-says-404 = Diese Seite gibt es nicht.
error-says-405 = Diese Adresse nimmt so etwas nicht an.
error-says-408 = Das dauerte zu lange und wurde abgebrochen. Nichts wurde geändert.
error-says-413 = Was gesendet wurde, ist zu groß; nichts davon wurde aufbewahrt.
error-says-415 = Was gesendet wurde, ist nicht von der Art, die diese Adresse annimmt.
error-says-429 = Zu viele Versuche in kurzer Zeit. Warten Sie eine Minute und versuchen Sie es noch einmal.
error-says-4 = Was gesendet wurde, kann nicht gelesen werden; nichts wurde geändert.
error-says-5 = Bei uns ging etwas schief. Vielleicht wurde nicht aufbewahrt, was Sie sendeten; sehen Sie nach, bevor Sie es noch einmal senden.

## Das Blatt, das mit dem Code einer Einheit ausgehängt wird

poster-call = Etwas riss, ging auf oder gab nach? Sagen Sie es uns.
poster-scan = Scannen
poster-scan-how = Sie den Code mit der Kamera des Telefons.
poster-answer = Antworten
poster-answer-how = Sie: was geschah, ob jemand verletzt wurde, welcher Gegenstand. Ein Foto hilft.
poster-write = Schreiben
poster-write-how = Sie den Code der Quittung auf den Anhänger. Sie erfahren, was gefunden wurde.
poster-foot = Erstellt am { $date } für { $place }. Dieser Code meldet nur für { $unit }; gerät er in falsche Hände, bitten Sie den Ausrüstungsingenieur um einen neuen.

## Mail an die, die gemeldet haben, und wie man sie abbestellt

mail-subject = Was aus Ihrer Meldung { $codes } geworden ist
mail-hello = Es gibt Neues zu dem, was Sie gemeldet haben.
mail-report = Meldung { $code }
mail-question = Wir haben eine Frage an Sie: { $question }
mail-answer = Unsere Antwort: { $answer }
mail-link = Der Link öffnet die Quittung mit allem, was bekannt ist; wer ihn hat, kann sie lesen.
mail-stop = Keine solchen Mails mehr:
notice-mail-order = Auf Anordnung von { $authority }.
notice-mail-page = Sie steht auf der Seite Ihrer Einheit; dort sagen Sie, dass sie ankam und was Sie gefunden haben.
mail-receipt-arrived = Ihre Meldung für { $unit } ist angekommen. Ihre Quittung ist { $code }. Schreiben Sie sie auf den Anhänger des Gegenstands.
mail-receipt-address = Was aus Ihrer Meldung wird, steht hier; geben Sie die Adresse nicht weiter, denn wer sie hat, kann die Meldung lesen:
mail-receipt-left-out = Von den Dateien, die Sie sandten:
mail-receipt-program = Ein Programm hat dies geschrieben. Um einen anderen Ausfall zu melden, schreiben Sie eine neue Mail.
stop-title = Keine Mails mehr
stop-ask = Sie bekommen Mails zu Meldungen, weil diese Adresse mit ihnen angegeben wurde. Abbestellen? Die Quittungen bleiben über ihre Links offen.
stop-button = Mails abbestellen
stop-done = Abbestellt. An Ihre Adresse gehen keine Mails zu Meldungen mehr.
wrong-stop = Diese Adresse bestellt nichts ab. Vielleicht wurden die Kontaktangaben der Meldung gelöscht; dann kommt auch keine Mail mehr.
