// What a checklist must look like, for those who judge (shape.js says how these lines are read).

import { shapesOf, ofVersion1 } from "./shape.js";

const fits = shapesOf(`
amount value:n unit:t
bound value:n unit:t included:f
stated form:exact|tolerance|range|at-least|at-most|over|below value?:amount plus_minus?:amount low?:bound high?:bound shown:t
side op=fact amount:amount
side op=input input:t
side op=amount amount:amount
side op=number value:n
side op=add left:side right:side
side op=subtract left:side right:side
side op=multiply left:side right:side
side op=divide left:side right:side
side op=least of:[side
side op=greatest of:[side
condition op=is input:t value:t
condition op=in input:t low?:bound high?:bound
condition op=all of:[condition
condition op=any of:[condition
condition op=not of:condition
condition op=compare left:side right:side relation:at-most|below|at-least|over|equal
value id:t label:t
input kind=option id:t title:t values:+value
input kind=observe id:t title:t values:+value
input kind=result id:t title:t values:+value
input kind=given id:t title:t quantity:t low:amount high:amount reads?:amount tool?:t shown:t reads_shown?:t when?:condition when_words?:t
input kind=measure id:t title:t quantity:t low:amount high:amount reads?:amount tool?:t shown:t reads_shown?:t
counted part:t or?:[t count?:w up_to?:w amount?:amount much?:t unknown?:t from?:t kit?:[t when?:condition when_words?:t
is state:t value:t words?:t
wait time:stated until?:t
place any_of:+t count:w hold:f words?:t
setting wrench:t adapters:+t words:t set?:t value?:stated
mention text:t words:t means:t id?:t figure?:t letter?:t
prose text:t markdown:t mentions:[mention
parts-line take:[counted make?:[counted tools?:[place
does kind=text prose:prose wait?:wait parts?:parts-line keep?:[counted reuse?:[counted
does kind=note text:t
does kind=message signal:signal hazard:t nature:t consequence:t avoid:t
does kind=read inputs:+t
does kind=use tools:[place optional:f benefit?:t
does kind=wear protection:[t
does kind=take parts:[counted
does kind=remove parts:[counted tools:[place
does kind=refit parts:[counted
does kind=discard parts:[counted
does kind=place joint:t
does kind=snug joint:t tools:[place
does kind=tighten joint:t tools:[place settings?:[setting
does kind=loosen joint:t tools:[place
does kind=remove-joint joint:t tools:[place
does kind=refit-joint joint:t
does kind=connect circuit:t points:[t tools:[place
does kind=disconnect circuit:t points:[t tools:[place
does kind=need state:is
does kind=make state:is
does kind=set result:t value:t
does kind=do action:t needs?:[is
does kind=record-torque joint:t count:w
does kind=record-reading input:t
taken parts:[t least:w most:w
does kind=record-text what:t number?:taken
does kind=record-photo what:t
callout number:w title:t means:t of:+t across:n down:n
does kind=figure asset:t alt:t number?:w figure?:t when?:condition when_words?:t callouts?:[callout
line id:t by_hand?:f letter?:t does:does
takes time:stated people:w words?:t
team people:w words:t
qualified work:[t words:t
another not_of:[t words:t
step id:t number:t title:t when?:condition when_words?:t takes?:takes team?:team qualified?:qualified another_person?:another content_digest:h lines:[line
node kind=step id:t number:t title:t when?:condition when_words?:t takes?:takes team?:team qualified?:qualified another_person?:another content_digest:h lines:[line
node kind=check step:step expects:[condition expects_words?:[t repair?:repair otherwise:otherwise
node kind=choose id:t input:t arms:+arm
node kind=when id:t if:condition words:t else_words?:t then:[node else:[node
node kind=set id:t result:t value:t
node kind=stop id:t text:t leave_as:[is
node kind=handover id:t leave_as:[is lines:[last
repair times:w body:[node
otherwise kind=stop id:t text:t leave_as:[is
otherwise kind=go-on text:t
arm when?:condition words:t covers?:t body:[node
last kind=sign id?:t who:[t
last kind=show id?:t text:t
last kind=keep id?:t text:t
last kind=dispose id?:t text:t
last kind=note id?:t text:t
last kind=text id?:t prose:prose
section id:t number:w title:t when?:condition when_words?:t body:[node
format name:t version:t
maker name:t version:t
revision mark:t date:t
about id:t title:t language?:t revision?:revision text:[prose fits:[t skill:[t licence:[t local_codes?:t time?:spans
spans total:t longest:t cases:[span remarks:[t people:t people_remark?:t
span when_words:t time:t
unit code:t symbol:t quantity:t base:t factor:n offset:n
fact id:t title:t value:stated
rule holds:condition when?:condition reason:t words?:t
limit id:t title:t when?:condition when_words?:t holds:condition words:t after_step?:t stop?:t
drive kind:hex|hex-socket|cross-recess|slot|hexalobular sizes:[amount mark?:t
fastener kind:bolt|screw|stud|nut|washer head?:drive
part id:t title:t fastener?:fastener brings:[t detail?:t
group id?:t kind:bag|box|shop title:t called?:t when?:condition when_words?:t entries:[counted
tool id:t title:t turns:[drive torque?:stated measures?:stated reads?:stated detail?:t
laid any_of:+t count:w optional:f when?:t when_words?:t needed_if?:condition title?:t detail?:t benefit?:t steps?:[t
worn-in protection:t throughout:f steps:[t when_words?:t needed_if?:condition
met id:t title:t when_words?:t words:t numbers?:t
worn id:t title:t throughout:f
hazard id:t title:t signal:signal answered_by?:[t licensed?:t
action id:t title:t needs:[is
joint id:t title:t when?:condition when_words?:t each:[counted count:w torque?:stated tight?:t clamps_with?:t
amounts what:t amount:stated
point id:t title:t order?:w detail?:t ends?:t
back chassis:f resistance?:stated words:t
circuit id:t title:t when?:condition when_words?:t facts:[amounts metal:t points:[point wire_words?:t way_back?:back bundle?:w sheathed?:f starter_cable?:f drop_words?:t carries_words?:t
state id:t title:t values:+value starts:t ends?:t when?:condition when_words?:t
asset path:t media_type:t sha256:h data:t
checklist format:format features_required:[t compiler:maker source_digest:h procedure:about left_out?:[t met?:[met units:[unit inputs:[input facts:[fact rules:[rule limits:[limit parts:[part kit:[group vehicle:[counted tools:[tool lay_out:[laid wear?:[worn-in protection:[worn hazards:[hazard actions:[action joints:[joint circuits:[circuit states:[state assets:[asset flow:[section`);

export const isChecklist = (value) =>
  fits(value, "checklist") && ofVersion1(value.format, "fitwright-checklist") && value.features_required.length === 0;
