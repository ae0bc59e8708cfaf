// What the files must look like: the tolerant reading of both formats. Members that are not named are let through; words of
// a closed list that are not named are refused, because whoever guesses may skip a safety message.
//
// A shape is a line of `member:sort`; a member whose name ends in `?` may be missing. Sorts: t text, n number as text,
// w whole number, c whole number from 1, f true or false, h digest, s text of 1 to 4,000 characters, p name of 1 to 200,
// [x list of x, +x list of at least one x, a|b one of these words, else the name of a shape. `member=…` begins a shape that
// differs by the word in that member.

const LINES = `
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
input kind=given id:t title:t quantity:t low:amount high:amount reads?:amount tool?:t shown:t reads_shown?:t
input kind=measure id:t title:t quantity:t low:amount high:amount reads?:amount tool?:t shown:t reads_shown?:t
counted part:t count?:w from?:t kit?:[t
is state:t value:t words?:t
place any_of:+t count:w hold:f words?:t
mention text:t words:t means:t id?:t
prose text:t markdown:t mentions:[mention
does kind=text prose:prose
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
does kind=tighten joint:t tools:[place
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
does kind=record-text what:t
does kind=record-photo what:t
does kind=figure asset:t alt:t
line id:t does:does
takes time:stated people:w words?:t
qualified work:[t words:t
step id:t number:t title:t when?:condition when_words?:t takes?:takes qualified?:qualified content_digest:h lines:[line
node kind=step id:t number:t title:t when?:condition when_words?:t takes?:takes qualified?:qualified content_digest:h lines:[line
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
about id:t title:t revision?:revision text:[prose fits:[t skill:[t licence:[t local_codes?:t time?:spans
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
point id:t title:t order?:w detail?:t
back chassis:f resistance?:stated words:t
circuit id:t title:t when?:condition when_words?:t facts:[amounts metal:t points:[point wire_words?:t way_back?:back bundle?:w sheathed?:f starter_cable?:f drop_words?:t carries_words?:t
state id:t title:t values:+value starts:t ends?:t
asset path:t media_type:t sha256:h data:t
checklist format:format features_required:[t compiler:maker source_digest:h procedure:about left_out?:[t met?:[met units:[unit inputs:[input facts:[fact rules:[rule limits:[limit parts:[part kit:[group vehicle:[counted tools:[tool lay_out:[laid wear?:[worn-in protection:[worn hazards:[hazard actions:[action joints:[joint circuits:[circuit states:[state assets:[asset flow:[section
given value:m unit:t
definition id:t revision?:t digest:h
event type=open format:format checklist:definition job:t device?:t
event type=answer input:t choice?:t amount?:given
event type=begin step:t occasion:c content:h
event type=acknowledge line:t
event type=reading line:t input:t choice?:t amount?:given typed?:given tool?:t instrument?:t
event type=torque line:t fastening:c amount:given tool?:t instrument?:t
event type=text line:t text:s
event type=photo line:t file:o media_type:t bytes:w sha256:h
event type=leave-out line:t reason:s
event type=done step:t with?:[p
event type=sign handover:t role:t name:p
event type=close outcome:handed-over|stopped|broken-off at_stop?:t reason?:s
event type=note text:s
event type=correct event:c choice?:t amount?:given text?:s reason:s
event type=withdraw event:c reason:s
event type=revise checklist:definition reason:s
every seq:c prev:h at:d by:p type:t digest:h`;

const SHAPES = new Map();
for (const line of LINES.split("\n").slice(1)) {
  const [name, ...members] = line.split(" ");
  const [by, word] = members[0].includes("=") ? members.shift().split("=") : [null, null];
  const shape = members.map((member) => member.split(":")).map(([key, sort]) =>
    ({ key: key.replace("?", ""), missing: key.endsWith("?"), sort }));
  if (!SHAPES.has(name)) SHAPES.set(name, { by, words: new Map() });
  SHAPES.get(name).words.set(word, shape);
}

const text = (value) => typeof value === "string";
const long = (most) => (value) => text(value) && value.length > 0 && [...value].length <= most;
const whole = (value) => Number.isSafeInteger(value) && value >= 0;
const number = (value) => text(value) && /^-?[0-9]+(\.[0-9]+|\/[1-9][0-9]*)?$/.test(value);
const words = (...all) => (value) => all.includes(value);

const SORTS = {
  t: text,
  n: number,
  m: (value) => number(value) && value.length <= 20,
  w: whole,
  c: (value) => whole(value) && value > 0,
  f: (value) => typeof value === "boolean",
  h: (value) => text(value) && /^[0-9a-f]{64}$/.test(value),
  s: long(4000),
  p: long(200),
  o: (value) => text(value) && /^[A-Za-z0-9_-][A-Za-z0-9._-]{0,99}$/.test(value),
  d: (value) => text(value) && moment(value) !== null,
  signal: words("notice", "caution", "warning", "danger"),
};

const sorted = (value, sort, depth) => {
  if (depth > 200) return false;
  if (sort[0] === "[" || sort[0] === "+")
    return Array.isArray(value) && (sort[0] === "[" || value.length > 0) && value.every((one) => sorted(one, sort.slice(1), depth + 1));
  if (SORTS[sort]) return SORTS[sort](value);
  if (sort.includes("|")) return sort.split("|").includes(value);
  if (typeof value !== "object" || value === null || Array.isArray(value)) return false;
  const { by, words: shapes } = SHAPES.get(sort);
  const shape = shapes.get(by && value[by]);
  return Boolean(shape) && shape.every((member) =>
    Object.hasOwn(value, member.key) ? sorted(value[member.key], member.sort, depth + 1) : member.missing);
};

const version = (format, name) => format.name === name && /^1\.[0-9]+\.[0-9]+$/.test(format.version);

export const isChecklist = (value) => sorted(value, "checklist", 0) &&
  version(value.format, "fitwright-checklist") && value.features_required.length === 0;

const has = (event, ...names) => names.filter((name) => Object.hasOwn(event, name)).length;

export const isEvent = (value) => {
  if (!sorted(value, "every", 0) || !sorted(value, "event", 0)) return false;
  switch (value.type) {
    case "open": return version(value.format, "fitwright-record");
    case "answer":
    case "reading": return has(value, "choice", "amount") === 1;
    case "correct": return has(value, "choice", "amount", "text") === 1;
    case "close": return value.outcome === "handed-over" || has(value, value.outcome === "stopped" ? "at_stop" : "reason") === 1;
    default: return true;
  }
};

// Milliseconds of an RFC 3339 moment, or null.
export const moment = (value) => {
  const at = /^(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d):(\d\d)(?:\.\d+)?(?:Z|[+-](\d\d):(\d\d))$/i.exec(value);
  if (!at) return null;
  const [, year, month, day, hour, minute, second, aheadHours = 0, aheadMinutes = 0] = at.map((part) => (part === undefined ? part : Number(part)));
  const days = month === 2 && !((year % 4 === 0 && year % 100) || year % 400 === 0) ? 28 : new Date(Date.UTC(2000, month, 0)).getUTCDate();
  if (month < 1 || month > 12 || day < 1 || day > days || hour > 23 || minute > 59 || second > 60 || aheadHours > 23 || aheadMinutes > 59) return null;
  const time = Date.parse(value.replace(/:60(?=[.Z+-])/i, ":59").toUpperCase());
  return Number.isNaN(time) ? null : time;
};
