# What units read, in English. Every key stands in each of the languages' files.

## Dates, counts and small words

date = { $day } { $month ->
    [1] Jan
    [2] Feb
    [3] Mar
    [4] Apr
    [5] May
    [6] Jun
    [7] Jul
    [8] Aug
    [9] Sep
    [10] Oct
    [11] Nov
   *[12] Dec
} { $year }
# What sets thousands apart, and how a browser writes moments.
thousands = { "," }
browser-days = en-GB
and = and

## Around every page

skip = Skip to the page
language = Language
caution = Caution
note = Note
not-sent = Not sent yet

## The report form

report-title = Report a failure
report-short = Report
report-of-unit = Report a failure, { $unit }
report-for = For
report-enough = Three answers are enough:
report-which = what happened, whether anyone was hurt, which item. No names, medical facts or places, please.
report-own-page = What became of your unit's reports
report-send = Send the report
report-mend = What you typed is still here. Please look at what is named below.
report-photos-again = Photographs must be chosen again.
report-more = More, if you know it
report-more-why = size, how long it was worn, what you were doing. Each answer helps to find the cause.

outbox-title = On this phone
outbox-waiting = Waiting for signal; it is sent by itself.
outbox-waiting-open = Waiting for signal; it is sent while this page is open.
outbox-shrinking = The photographs are being made smaller; then the report is sent ...
outbox-sending = Being sent ...
outbox-kept = No signal, or no answer. The report is kept on this phone and is sent by itself as soon as it can be; you can close this page.
outbox-kept-open = No signal, or no answer. The report is kept on this phone. Keep this page open until it has been sent, or open it again when there is signal.
outbox-arrived = Arrived. Receipt
outbox-receipt = Open the receipt
outbox-refused = Something in it must be mended before it can be sent.
outbox-begun = Begun, and not sent yet.
outbox-shut = This link was withdrawn. Ask your equipment engineer for a new one.
outbox-still = What you typed and chose is still here and is kept on this phone.
outbox-mend = Open it in the form
outbox-full = This phone is full: the report can't be kept here. Make room, or send it now while there is signal.

ask-unit = For which unit?
ask-unit-choose = Choose the unit
ask-story = What happened?
ask-story-hint = In your own words: what let go, what you were doing. 4,000 letters at most.
story-left = Letters left:
ask-harm = Was anyone hurt?
ask-item = Which item?
ask-part = Which part of it?
ask-part-unknown = I can't say
ask-size = Size
ask-size-unknown = Not known
ask-lot_known = The lot label, sewn in near the size
ask-lot_text = What the lot label says
ask-lot_text-hint = Letters and digits as they stand; guess nothing.
ask-maker = Maker, if it is on the label
ask-serial = Serial number, if it has one
ask-found_when = When did you find it?
ask-found_on = On which day?
ask-found_on-hint = Leave it for today.
ask-worn = Worn for how long, about?
ask-worn-hint = A number; leave it if nobody knows.
ask-worn_unit = Weeks, months or years
ask-altered = Had it been altered or repaired?
ask-altered_by = If so, by whom and how?
ask-altered_by-hint = A workshop or a unit, no names.
ask-fate = What became of the item?
ask-quantity = How many alike?
ask-quantity-hint = Leave it for one.
ask-activity = What were you doing?
ask-activity-hint = Climbing, boat work, training ...
ask-contact = A mail address for our answer
ask-contact-hint = Only if you want our answer by mail too; the receipt shows it all. It is kept apart from the report, seen by the engineers alone, and deleted { $days } days after our last answer.
ask-photo = Photographs
ask-photo-hint = Up to six, with a ruler or a coin beside the damage. Place and camera data are taken out.

label-photograph = Photograph the label
label-picture = Photograph of the label
label-read = Read from the label:
label-busy = Reading the label ...
label-nothing = Nothing could be read from this picture. Hold the phone closer, with light from the side, or type the number.
label-unloaded = The label reader could not be fetched: it needs signal once. Type the number, or photograph the label when there is signal.
label-says = The label says: { $what }.
label-says-nothing = The label names no lot and no serial.
label-compare = Something about it is unusual or not whole. Please compare with the label.
label-kept = { $why } It is kept as it is; type the lot if you can read it.
label-why-plain = The label is plain text, without a standard's envelope.
label-why-envelope = The label's envelope is not whole.
label-why-check-digit = The check digit of { $digits } is { $found } and should be { $expected }: a misread label.
label-why-element = “{ $element }” on the label is no element that is read here.
label-why-long = The text is longer than a label can hold.
label-lot = lot
label-serial = serial
label-maker = maker
label-part = part
label-trade-item = trade item

## Words of fixed lists

lot_known-read = I can read it
lot_known-unreadable = It can't be read
lot_known-absent = There is no label
lot_known-not_looked = I didn't look

found_when-on_receipt = Unpacking it, brand new
found_when-fitting = Fitting it to somebody
found_when-in_use = At work or in training
found_when-after_wash = After a wash
found_when-in_repair = While mending it
found_when-turn_in = Turning it in
found_when-inspection = At an inspection

altered-no = No, as it was issued
altered-authorised = Yes, by a repair shop or on orders
altered-by_unit = Yes, by us

harm-none = Nobody
harm-near_miss = Nobody, but somebody could have been
harm-injury = Somebody was hurt

fate-kept = Still worn
fate-repaired = Mended
fate-exchanged = Exchanged for another
fate-withdrawn = Taken out of use
fate-lost = Lost
fate-exhibit = Tagged and kept for examination

worn_unit-weeks = weeks
worn_unit-months = months
worn_unit-years = years

caution-out-of-use = Take a damaged protective or load-bearing item out of use and tag it until it has been inspected.
caution-no-field-repair = Don't repair protective parts, load paths or releases in the field unless the technical manual says so.
caution-test-release = A quick release must be function-tested after any repair, wash or re-assembly.
caution-report-harm = If someone was hurt or could have been, report through your chain at once; this tool doesn't replace it.
caution-rates-from-reports = Rates here come from reports and issue records; few reports isn't proof of safety.
caution-judgement-stays = Figures support, and don't replace, the judgement of the responsible engineer, the governing specification and the local safety authority.

order-inspect = Inspect before use
order-stop-use = Stop using it
order-field-modification = Alter it as told before use
order-if-label = { $count ->
    [one] If your label says { $lots }: { $order }
   *[other] If your label says one of { $lots }: { $order }
}
order-if-holds = If your item holds this ({ $what }): { $order }
order-if-repaired = If a part of it was replaced, or you can’t tell: { $order }
order-then-inspect = inspect before use
order-then-stop-use = stop using it
order-then-field-modification = alter it as told before use

## What is wrong with a report

wrong-unit = Choose the unit it happened to.
wrong-item = Choose which item it was.
wrong-part = There is no part { $part }. Choose one from the list.
wrong-harm = Say whether anyone was hurt, or nearly.
wrong-lot_text = Type what the lot label says, or choose that it can't be read.
wrong-long = This is too long; 120 letters are enough.
wrong-signs = This has signs in it that can't be kept. Please type it again.
wrong-story = Write what happened; one short line is enough.
wrong-story-long = This is too long; 4,000 letters at most. The rest can go into an answer later.
wrong-choice = Choose one of the answers.
wrong-future = This date is in the future.
wrong-past = This date is more than 30 years ago.
wrong-date = Write the date as year-month-day, like 2026-03-31.
wrong-worn = Write a number, like 6 or 1.5; leave it empty if nobody knows.
wrong-quantity = Write how many items are alike, from 1 to 10,000.
wrong-contact = Write an address such as name@rescue.example, or leave it empty.
wrong-photos = Six photographs at most; choose the ones that show most.
wrong-photo-heic = This picture is in the HEIC format, which can't be read here. On the phone choose "most compatible" for the camera, or send a screenshot of it.
wrong-photo-kind = This file isn't a JPEG, PNG or WebP picture.
wrong-photo-damaged = This picture is damaged and can't be read. Please take or choose another.
wrong-photo-large = This picture has too many pixels (50 million at most).
wrong-link = This link doesn't open anything any more. Ask your equipment engineer for a new one.
wrong-flood = Very many reports have come by this link, so this one was not kept. Go back, wait { $minutes } min and send it again; what you typed is still in the form. If someone was hurt, report through your chain at once.
wrong-receipt = This address opens no receipt. Look at it again, or ask your equipment engineer.
wrong-photo-number = There is no such photograph.
wrong-question = There is no such question.
wrong-answer = Write an answer of one to 4,000 letters. Nothing was kept.
wrong-answer-given = This question was answered already, so this answer was not kept. If it says something new, tell your equipment engineer.
wrong-field-long = One answer was far too long, so nothing was kept.
wrong-form-large = This is larger than can be taken, so nothing was kept. Send fewer photographs.
wrong-form-damaged = The form arrived damaged, so nothing was kept. Please send it again.
wrong-form-incomplete = The form is incomplete. Open it anew and send it again.
wrong-key-used = This form has brought another report before: its receipt is { $code }. What stands here was not kept; look it over and send it again, and it gets a receipt of its own.
wrong-own-report = Your unit sent no report { $report }.
wrong-instruction = There is no instruction of this number.
wrong-instruction-over = This instruction was withdrawn; there is nothing to reply.

## The receipt, and what became of the report

receipt-title = Receipt
receipt-arrived = Your report has arrived
receipt-answered = Your report is answered
receipt-keep = Keep this code and write it on the tag of the item. It can be said on a radio.
receipt-sent = Sent for { $unit } on { $date }.
receipt-our-answer = Our answer
receipt-questions = Questions to you
receipt-your-answer = Your answer
receipt-your-answer-was = Your answer:
receipt-send-answer = Send the answer
receipt-now = What to do now
receipt-tag = Write on the tag:
receipt-tag-words = do not use, do not wash, do not mend
receipt-hand-in = Hand the item to your store keeper.
receipt-became = What became of it
receipt-lot = Is your lot affected?
receipt-wrote = What you wrote
receipt-photo = Photograph sent with the report
receipt-address = Keep the address of this page: it shows what becomes of your report. The code alone opens nothing.
receipt-back = Back to my desk

state-received = It has arrived. Nobody has looked at it yet.
state-undecided = An engineer has looked at it; nothing is decided yet.
state-asked = We have a question for you, below.
state-answer-came = An engineer has looked at it and asked you a question. Your answer has come; it is read next.
state-sorted = An engineer has looked at it.
state-set-aside = An engineer has looked at it and set it aside.
state-answered = It is answered, below.
state-taken-back = It was taken back on { $day } with the list it came with, and counts nowhere. { $why }

became-set-aside = An engineer looked at it and set it aside: { $reason }
became-no-reason = no reason is on record
became-awaited = What became of it stands here in a moment: the books are still being read. Please load the page again.
became-sorted = An engineer looked at it and took it for this: { $what }.
became-not-counted = It isn't counted as a failure of the equipment: { $reason }.
became-alone = Nobody else has reported the same so far.
became-one-of = It is one of { $count } reports of the same thing.
became-drafted = A change to the { $part } was drafted: { $title }.
became-submitted = It was put before the board, which decides on it.
became-approve = The board approved it.
became-approve-with-conditions = The board approved it, on conditions.
became-disapprove = The board decided against it.
became-defer = The board wants to know more before it decides.
became-before-board = It is before the board, which decides on it.
became-proved = Reports since then show that it works.
became-not-proved = Reports since then don't show that it works. The engineer looks for more.
became-withdrawn = It was given up.
became-built = New items are built to it.
became-built-from = New items are built to it, from lot { $lot } on.
became-part = part

issued-kept = Items already issued are not changed.
issued-on-return = Items already issued are changed when they come back to the store.
issued-recalled = All items already issued are called back to be changed. Hand yours in.

lot-suspected = Lot { $lot } is suspected nonconforming: more of it was reported than of the others. Have every item of this lot looked at before it is used again.
lot-like-others = Lot { $lot }, which your item is of, doesn't stand out from the others so far. That isn't proof that your items are sound.
lot-too-early = It is too early to say whether lot { $lot }, which your item is of, stands out from the others: too little is known of it. That isn't proof that your items are sound.
lot-strange = No lot { $lot } is known here. Look at the label again, and tell your equipment engineer what it says.
lot-of-other = Lot { $lot } is of something else ({ $part }), not of the item you reported. Look at the label again, and tell your equipment engineer what it says.
lot-before = Lot { $lot } was made before the change.
lot-built = Lot { $lot } was built to the change.
lot-partly = Lot { $lot } was built partly to the change: some items have it, some don't.
lot-unknown = Nobody could tell the lot of your item, so nobody can say whether your lot is affected. If you can read the label, tell your equipment engineer.

## A unit's own page

own-title = Reports of { $unit }
own-reports-of = Reports of
own-question = We have a question for you
own-report = Report something
own-reported = What you reported
own-latest = Only the latest are shown.
own-nothing = Nothing was reported yet. Few reports isn't proof of safety: report what tore, split or let go, however small.
own-all = All reports of your unit
own-reply = Reply to { $number }

stands-received = arrived
stands-asked = we have a question
stands-answer-came = your answer came
stands-sorted = looked at
stands-set-aside = looked at and set aside
stands-answered = answered

## Instructions to units and their replies

instruction-title = Instruction { $number }
instruction-to = Instruction { $number } to { $unit }: { $concerns }, { $days }.
instruction-labels = By our books you hold of it: { $items }. These lot numbers stand on the labels.
instruction-no-lot = { $count ->
    [one] By our books you hold 1 item of this kind whose lot we don't know. Look at it too.
   *[other] By our books you hold { $number } items of this kind whose lot we don't know. Look at each of them.
}
instruction-lot = Lot { $lots }
instruction-every-lot = every lot
instruction-one-lot = lot { $lots }
instruction-some-lots = lots { $lots }
instruction-by = by { $maker }
instruction-until-withdrawn = { $from } until withdrawn
instruction-until = { $from } to { $to }
instruction-own-page = Your unit's page
instruction-withdrawn = This instruction was withdrawn. There is nothing more to do.
instruction-not-yet = This instruction is not yet in force.
reply-was = What you replied
reply-received = You said on { $date } that it came.
reply-receive = It has come; we will look
reply-found = What you found
reply-how = Held are those checked and those not located, together. Nought is an answer; leave a lot empty to reply later.
reply-send = Send the counts
reply-all = All that you hold of it
reply-all-short = All that you hold
reply-no-lot = Items whose lot isn’t known
reply-lot = Lot { $lot }: our books say that you hold { $held }
reply-said = { $held } held, { $checked } checked, { $found } found, { $not_located } not located, { $turned_in } turned in
reply-mend = Mend the counts: { $lot }
reply-mends = The counts that you replied before stand below; what you send takes their place.
count-held = Held
count-checked = Checked
count-found = Found with the fault
count-not_located = Not located
count-turned_in = Turned in
wrong-reply-lot = Your unit isn’t asked about lot { $lot }. Nothing was kept; reply for the lots that stand here.
wrong-reply = These counts don’t fit our books, so nothing was kept. Open this page again, and tell your equipment engineer if it happens once more.
wrong-reply-meanwhile = Somebody of your unit has replied for this meanwhile; it stands above. Look again, and send what is right.
wrong-count = Write a whole number; nought is an answer.
wrong-held = { $held } held, but { $checked } checked and { $not_located } not located come to { $together }.
wrong-found = More than the { $checked } checked.
wrong-turned_in = More than the { $checked } checked.

## Notices to units

notice-draft = Notice, draft
notice-heading = Suspected nonconforming: set aside what has these lot numbers
notice-to = To { $unit }
notice-holds-item = { $count ->
    [one] { $what } is suspected nonconforming. By our books you hold up to 1 item of it.
   *[other] { $what } is suspected nonconforming. By our books you hold up to { $number } items of it.
}
notice-holds-part = { $count ->
    [one] { $what } is suspected nonconforming. By our books you hold up to 1 item that contains it.
   *[other] { $what } is suspected nonconforming. By our books you hold up to { $number } items that contain it.
}
notice-failure = Look for: { $failures }.
notice-refitted = { $count ->
    [one] The lot of 1 of them we don't know: it was given the part in a repair. Set aside each such item whose part was replaced, or where you can't tell, whatever lot its label shows.
   *[other] The lot of { $number } of them we don't know: they were given the part in a repair. Set aside each such item whose part was replaced, or where you can't tell, whatever lot its label shows.
}
notice-unknown = { $count ->
    [one] By our books you also hold 1 item of this kind whose lot we don't know. Look at it too.
   *[other] By our books you also hold { $number } items of this kind whose lot we don't know. Look at them too.
}
notice-lots = Lots to look for
notice-lot = Lot on the label
notice-lot-unknown = Lot unknown, part { $part }
notice-size = Size
notice-in-service = In service
notice-stored = Stored
notice-concerned = Concerned, at most
notice-do = What to do
notice-look = Look
notice-look-how = at the lot number on the label of each item of this kind, in service and in store.
notice-aside = Set aside
notice-aside-how = every item with a lot number from the table, and every item whose label can't be read. Don't use it.
notice-tag = Tag
notice-tag-how = it: suspected nonconforming, lot { $lot }, the date, your unit.
notice-leave = Don't repair
notice-leave-how = , wash or alter it; the fault must stay as it is until it has been inspected.
notice-report = Report
notice-report-how = how many you found and how many were damaged, also if there were none, or more than our books say. A damaged item is a report of its own.
notice-foot = Numbers are from issue records and may differ from what you hold; what you find counts. Questions go to your equipment engineer.
notice-part-of-lot = { $part } lot { $lot }

## The notice of a change

fielding-title = Notice to units
fielding-what = What changes
fielding-lots = From which lot
fielding-no-lots = No lot or date is set yet; you will be told.
fielding-do = What to do with what you hold
fielding-stop = Stop using:
fielding-stop-how = { $what }. See instruction { $number }, { $days }.
fielding-stop-but = Don't use those named at the top of this notice.
fielding-engineer = From the engineer:
fielding-cautions = Cautions
fielding-lead = The { $part } (part { $number }) changes from revision { $from } to revision { $to }.
fielding-against = It is meant to end: { $modes }.
fielding-look = Look
fielding-look-how = at the lot number on the label: the table above says which lots are new.
fielding-look-both = at the lot number on the label and, where the table above names no lot, at the date of making: it says which are new.
fielding-look-date = at the date of making on the label: the table above says from which day items are new. Where a label shows no date, wait: the lots will be named.
fielding-go-on = Go on using
fielding-run-out-how = sound items of earlier lots until they wear out. New lots follow by themselves.
fielding-sound-how = sound items of earlier lots.
fielding-send-in = Send them in
fielding-on-return-how = when they would come back anyway: the change is made then.
fielding-aside = Set aside
fielding-aside-how = every item of an earlier lot, and every item whose label can't be read.
fielding-store-aside = In your store, set aside
fielding-next-lot-how = unissued items of earlier lots; don't issue them any more.
fielding-recall-how = as your store directs. Don't make the change yourselves.
fielding-wait = Wait
fielding-wait-how = for word on items of earlier lots; that is not decided yet.
fielding-report = Report
fielding-report-how = every failure, of old lots and of new: only so is it seen whether the change works.
fielding-leave = Don't alter
fielding-leave-how = the { $part } in the field.
fielding-maker = Maker
fielding-of-lots = Lots
fielding-from = From
fielding-share = Share of lot
fielding-as = As
effect-all-makers = all makers
effect-one-lot = lot { $lot }
effect-lots = lots { $from } to { $to }
effect-from-lot = from lot { $lot }
effect-to-lot = up to lot { $lot }
effect-by-date = by date
effect-all-new = all new
effect-shares = { $new } new, { $old } old
effect-not-said = not said
paper-draft = Draft, not published
paper-not-written = Not written yet.
stage-proposed = proposed
stage-approved = approved
stage-accomplished = accomplished
frame-title = Title
frame-number = Number
frame-sheet = Sheet
frame-of = of
frame-state = State
frame-revision = Revision
frame-owner = Owner
frame-marking = Marking
frame-unmarked = none
sheet-drafted = Drafted
sheet-submitted = Submitted
sheet-cut-in = Cut in
sheet-figures = Figures of
sheet-unrevised = none
sheet-nobody = nobody yet
change-draft = draft
change-submitted = submitted
change-approved = approved
change-disapproved = disapproved
change-deferred = deferred
change-cut-in = cut in
change-proved = proved
change-not-proved = not proved
change-withdrawn = withdrawn
change-state-not-said = state not said

## When something can't be done

error-not-from-here = Not from here
error-not-here = Not here
error-quicker = Somebody was quicker
error-large = Too large
error-fast = Too fast
error-fit = That didn't fit
error-ours = A seam gave way
error-back = Back to where you were
error-unit = Back to your unit's page
error-desk = To the desk
error-sign-in = Sign in in another tab
error-not-your-role = Your role doesn't allow this.
error-not-your-unit = This belongs to another unit.
error-number = If you ask about this, say the number { $number }.
error-says-401 = You aren't signed in, or not any more, so nothing was kept yet. Leave this page open, sign in in another tab, then send it once more: load this page again, or go back to the form.
error-says-403 = This was sent from another site's page, so nothing was done. Open the form here and send it again.
error-says-404 = There is no such page.
error-says-405 = This address doesn't take that kind of request.
error-says-408 = This took too long and was stopped. Nothing was changed.
error-says-413 = What was sent is too large, so nothing of it was kept.
error-says-415 = What was sent isn't of a kind this address takes.
error-says-429 = Too many tries in a short time. Wait a minute, then try again.
error-says-4 = What was sent can't be read, so nothing was changed.
error-says-5 = Something went wrong on our side. What you sent may not have been kept; look before you send it again.

## The paper that is hung up with a unit's code

poster-call = Something tore, split or let go? Tell us.
poster-scan = Scan
poster-scan-how = the code with your phone's camera.
poster-answer = Answer
poster-answer-how = what happened, whether anyone was hurt, which item. A photo helps.
poster-write = Write
poster-write-how = the receipt code on the item's tag. You will hear what was found.
poster-foot = Made { $date } for { $place }. This code reports for { $unit } only; if it gets into wrong hands, ask your equipment engineer for a new one.

## Mail to who reported, and how it is stopped

mail-subject = What became of your report { $codes }
mail-hello = There is news of what you reported.
mail-report = Report { $code }
mail-question = We have a question for you: { $question }
mail-answer = Our answer: { $answer }
mail-link = The link opens the receipt, with everything that is known; whoever has it can read it.
mail-stop = To get no more such mail:
notice-mail-order = By order of { $authority }.
notice-mail-page = It stands on your unit's page, where you say that it has come and what you found.
mail-receipt-arrived = Your report for { $unit } has arrived. Its receipt is { $code }. Write it on the tag of the item.
mail-receipt-address = What becomes of your report stands here; keep the address to yourselves, for whoever has it can read the report:
mail-receipt-left-out = Of the files you sent:
mail-receipt-program = A program wrote this. To tell of another failure, write a new mail.
stop-title = No more mail
stop-ask = You get mail about reports because this address was given with them. Stop it? The receipts stay open by their links.
stop-button = Stop the mail
stop-done = It is stopped. No more mail about reports goes to your address.
wrong-stop = This address stops nothing. It may be of a report whose contact details were deleted; then no mail comes any more.
