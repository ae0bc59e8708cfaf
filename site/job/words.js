// Every word of ours on the page. Words of the procedure never pass through here.


// Frame
export const menu = "Menu";
export const undo = "Undo";
export const back = "Back";
export const done = "Done";
export const moreBelow = "More below ↓";
export const change = "Change";
export const save = "Save it";
export const stepOf = "{n} of about {all} steps done";
export const revision = "revision {mark}";
export const check = "Check:";
export const of1 = "Repair {n} of {all}";
export const unreadable = "This checklist cannot be used";
export const unreadableWhy = "It holds something that this page does not know, so a safety message could be missed. Have the page built anew.";

// Start
export const whoTitle = "Who does the work";
export const name = "Your name";
export const nameHint = "It stands beside everything that you write down.";
export const jobName = "Vehicle or order";
export const jobHint = "Number plate, order number, or whatever tells this job from others.";
export const fits = "Fits";
export const skill = "Qualified person";
export const aboutJob = "About this job";
export const units = "Units you read in";
export const metric = "Metric";
export const inch = "Inch";
export const sign = "Decimal sign";
export const point = "point 1.5";
export const comma = "comma 1,5";
export const madeFor = "Made for";
export const follows = "follows from the others";
export const start = "Start";
export const choose = "Choose one.";
export const nameMissing = "Type your name.";
export const jobMissing = "Say which vehicle or order this is.";
export const contradiction = "These answers do not go together";
export const fixAnswers = "One of them has to change.";
export const layOut = "Lay out before you start";
export const layOutDone = "All laid out: start";
export const tools = "Tools";
export const wearAll = "Wear for the whole job";
export const startState = "The vehicle at the start";
export const onlyFor = "Only when {when}";
export const orElse = " or ";
export const openJobs = "A job is open on this device";
export const carryOn = "Carry on";
export const startOther = "Start another job";
export const keptJobs = "Finished jobs on this device";
export const since = "begun {when} by {by}";
export const showRecord = "Show the record";
export const forget = "Delete from this device";
export const forgetSure = "The record of this job will be gone from this device. Save it first.";
export const otherRevision = "It was begun under {old}. This page is {own}.";
export const otherPage = "It was begun with another page of this procedure.";
export const brokenChain = "The record kept on this device was altered or damaged. It cannot be carried on; save what is left of it and start the job anew.";

// Carrying on under another revision
export const carryOnUnder = "Carry on under {own}";
export const carryOnHere = "Carry on with this page";
export const stays = "Stays done";
export const ofSteps = "{n} of {all} steps";
export const anew = "To do anew";
export const changed = "changed";
export const gone = "No longer asked for";
export const asksAgain = "Asked again";
export const goesOn = "Goes on at";
export const lookFirst = "Look at the vehicle first: what was fitted in a step that is done anew, or is no longer asked for, may have to come off.";
export const revised = "The procedure was revised";
export const cannotGoOn = "This job cannot be carried on with this page";
export const otherFitting = "This page is for {title}: {own}. The job is for: {had}.";
export const carryOnThere = "Carry it on with the page that it was begun with.";
export const askAgainWhy = "Asked anew by this revision of the procedure.";
export const untilNow = "Until now";

// Storage
export const notKept = "This browser keeps nothing. Save the record before you close or reload the page.";
export const full = "The storage of this browser is full. From here on nothing is kept: save the record before you close or reload the page.";
export const taken = "This job was carried on in another window. Here is what it wrote.";

export const mended = "The storage of this browser was emptied. What was done so far was written anew from this page.";

// Opening a record
export const openLead = "Begun on another device, or finished? Open the file that was saved there.";
export const openRecord = "Open a record";
export const oneDevice = "From here on it goes on here. Write nothing more on the other device: two records that part cannot be joined.";
export const carriedOn = "Carried on from a file.";
export const laterHere = "This device has the same job, and more of it than the file. It goes on from what is here.";
export const parted = "This device has the same job, and it went on here in another way than in the file. Two records that parted cannot be joined.";
export const noRecord = "This file is no record of a job.";
export const badArchive = "This archive is damaged, or is not as a job page saves it. Nothing of it was taken over.";
export const alteredAt = "Line {n} of this record was altered, or is cut off. It cannot be carried on. Look for an unchanged copy on the device that wrote it.";
export const strangeAt = "Line {n} of this record is nothing that this page knows. Nothing of it was taken over.";
export const otherProcedure = "This is a record of another procedure: {id}.";
export const closedOther = "This job was finished under another checklist of the procedure. Look at it with the page that it was done with.";
export const photosWrong = "{n} of the pictures in the archive are not those that the record tells of, and were left out.";
export const saveSoFar = "Save what is done so far";

// Step
export const understood = "I have read this message";
export const toRead = "Still to read: {n}. Confirm each by itself.";
export const read = "Message read";
export const secondPerson = "Who helps you";
export const personMissing = "This step takes {n} people. Type the name of each helper, with a comma between.";
export const withTools = "With: {tools}.";
export const hold = "Hold the other side with: {tools}.";
export const wire = "Wire: {shown} {metal}.";
export const without = "can be done without";
export const fingerTight = "finger-tight";
export const to = "to";
export const until = "until you see this:";
export const inOrder = "In this order:";
export const rightWhen = "Pass if";
export const asked = "Write down";
export const had = "Written down";
export const torqueOf = "Torque {n} of {all}: {title}";
export const photo = "Photograph: {what}";
export const takePhoto = "Take or choose a picture";
export const noPhoto = "Leave it out";
export const whyNoPhoto = "Why is there no picture?";
export const noCameraHere = "No camera here";
export const notAllowed = "Pictures are not allowed here";
export const photoSaved = "The picture is written down, and is saved with the record.";
export const photoHere = "This browser keeps pictures only as long as this page is open: save the record before you close or reload the page.";
export const photosLost = "{n} pictures of this record are not on this device, and are not in the file.";
export const noPicture = "This file is no picture.";
export const largePicture = "This picture is too large. Take one of less than 20 MB.";
export const readCode = "Read a code with the camera";
export const closeCamera = "Close the camera";
export const noCamera = "The camera cannot be used here. Type what stands there.";
export const clicked = "(set)";
export const remedy = "Tightened already? What did you do about it?";
export const remedyMissing = "Say what you did about it.";
export const newFastener = "Loosened, and fitted with new parts";
export const loosened = "Loosened";
export const tightenedOn = "Tightened on";
export const keepTorque = "Write it down, and torque it again";
export const doneAgain = "done again: {remedy}";
export const leftOut = "Left out: {reason}";
export const writeDown = "Write it down";
export const writeAndDone = "Write it down: done";
export const clickedAt = "{n} clicked at {value}";
export const andDone = "done";
export const orType = "Or type what the wrench reads.";
export const readAs = "Reads as {value}";
export const instrument = "Number or calibration mark of the {tool} (if it has one)";
export const keypad = "Number keys";
export const erase = "Erase";
export const fractionKey = "fraction stroke";
export const spaceKey = "blank";
export const answerAbove = "Choose an answer.";

// What is refused
export const torqueTitle = "{value} is outside {shown}.";
export const torqueOver = "Typed wrong? Type it again. Else loosen this fastening, and look whether bolt and thread are still good.";
export const torqueUnder = "Typed wrong? Type it again. Else tighten it on to {shown}.";
export const tryOf = "try {n}";

// Why
export const because = "Because";
export const decided = "Decided";
export const notRight = "Not right yet";
export const notRightLast = "Not right, and no repair is left";
export const repair = "Repair {n} of {all}: do the steps that follow. Then the check is done again.";
export const right = "Right";
export const goOn = "Go on, and mind this:";

// End
export const stop = "Stop";
export const stopLead = "The job ends here.";
export const leaveAs = "Leave the vehicle with:";
export const wrongReading = "Something wrong here? Change it before you close the record.";
export const closeRecord = "Close the record";
export const handover = "Hand over";
export const signAs = "Signs: {role}";
export const signButton = "Sign as {role}";
export const signMissing = "Type the name of who signs.";
export const drawHint = "Sign here with a finger or pen. By keyboard the name alone will do.";
export const clearDrawing = "Clear";
export const samePerson = "{name} has signed as {role} already. Let another person sign.";
export const whySame = "Or say why the same person signs both";
export const slipAsk = "Pressed by mistake?";
export const stuck = "The job cannot go on";
export const stuckWhy = "The procedure does not say what comes next. Break the job off, and tell whoever wrote the procedure.";
export const closedLead = "The record is closed. Save it, and print it for the file.";
export const saveRecord = "Save the record";
export const printRecord = "Print the record";
export const newJob = "New job";

// Undo, change, menu
export const undoWhat = "This no longer counts:";
export const why = "Why?";
export const reasonMissing = "Say why.";
export const textMissing = "Write something here.";
export const undoNow = "Undo it";
export const slip = "Pressed by mistake";
export const measuredAgain = "Measured again";
export const notFinished = "Was not finished";
export const typedWrong = "Typed wrong";
export const changeNow = "Change it";
export const changeLead = "The old value stays in the record. Where the new one leads another way, what follows is done anew.";
export const whatWasDone = "What was done";
export const recordSoFar = "Record so far";
export const otherWorker = "Somebody else carries on";
export const otherName = "Name of who carries on";
export const addNote = "Add a remark";
export const noteText = "Remark";
export const breakOff = "Break the job off";
export const breakOffWhy = "The record will be closed without handover.";
export const setUnits = "Units and decimal sign";
export const keysHelp = "Keys: Tab moves on, Enter presses, Ctrl+Enter presses the large button, Ctrl+Z undoes, Escape goes back.";

// Record
export const recordOf = "Record of the job";
export const procedure = "Procedure";
export const who = "Who";
export const opened = "Opened";
export const closed = "Closed";
export const outcome = "Outcome";
export const checklistDigest = "Digest of the checklist";
export const head = "Head of the record";
export const headHint = "These digits name the whole record: one changed character changes them.";
export const answer = "Answer";
export const answers = "Answers before the job";
export const steps = "Steps";
export const step = "Step";
export const readings = "What was written down";
export const signatures = "Signatures";
export const changes = "What was undone or changed";
export const line = "Line";
export const whatCol = "What";
export const reason = "Reason";
export const by = "By";
export const messagesRead = "Safety messages read: {n}";
export const helped = "with {names}";
export const becomes = "{old} became {value}";
export const remarks = "Remarks";
export const stoppedBecause = "Why it stopped";
export const typedAs = "typed {typed}";
export const fileHint = "The file {file} holds every event, each chained to the one before.";
export const ofPages = "of";
export const tighten1 = "no. {n}";

// What a line of a step does.
export const LABELS = {
  use: "Tools",
  wear: "Wear",
  take: "Take",
  remove: "Remove",
  refit: "Refit",
  discard: "Discard",
  place: "Fit",
  snug: "Run on",
  tighten: "Tighten",
  loosen: "Loosen",
  "remove-joint": "Remove",
  "refit-joint": "Refit",
  connect: "Connect",
  disconnect: "Disconnect",
  need: "Only when",
  make: "Set",
  do: "Do",
  set: "Decided",
};

// What a line of the handover does.
export const LAST = {
  show: "Show",
  keep: "Keep",
  dispose: "Dispose of",
  note: "Note",
};

// Why a typed number is not taken.
export const FAULTS = {
  typedNothing: "Type a number.",
  typedNoNumber: "This is not a number. Type digits with one decimal sign, as in 24{sign}5.",
  typedUnit: "Type the number alone. The unit stands beside it.",
  typedTwoSigns: "This has more than one point or comma. Type one decimal sign, as in 24{sign}5, and nothing for thousands.",
  typedThousands: "This could mean {decimal} or {whole}. Type one of these two.",
  outOfRange: "{value} is not between {low} and {high}. Look at the unit, and read again. If it is right, do not go on: ask whoever is in charge.",
  notMultiple: "This is read in steps of {reads}. Type {below} or {above}.",
  between: "{value} lies between {below} and {above}, and these lead different ways. Read it in {unit}.",
  tooLong: "Type fewer digits.",
};

// How a job ended.
export const OUTCOMES = {
  "handed-over": "Handed over",
  stopped: "Stopped",
  "broken-off": "Broken off",
  open: "Open",
};

// What an event is.
export const TYPES = {
  answer: "answer",
  reading: "reading",
  torque: "torque",
  text: "text",
  acknowledge: "message read",
  done: "step done",
  begin: "step begun",
  photo: "photograph",
  "leave-out": "photograph left out",
  sign: "signature",
};

// What the manual says too, in its words
export const whoMay = "Who may do it";
export const codes = "Codes and licences";
export const time = "Time";
export const workers = "People";
export const rulesTitle = "What goes together";
export const limitsTitle = "Do not fit it unless all of this holds";
export const limitLine = "Limit";
export const ifNot = "If not";
export const metTitle = "Decided for this fitting";
export const holdsFor = "it holds";
export const holdsEver = "It holds wherever the rules and the other limits do.";
export const notHere = "Left out, because it does not apply: {parts}. All others keep the numbers that they have in the full procedure.";
export const onVehicle = "Already on the vehicle";
export const inSteps = "in step {numbers}";
export const each = "each";
export const makersNumber = "Maker's number {number}";
export const readLine = "Read";
export const readWith = "with: {tools}";
export const readTo = "to {reads}";
export const stayIn = "Leave the parts in place.";
export const keepParts = "Keep the parts.";
export const cameOff = "with the parts that came off";
export const then = "then";
export const thread = "thread {thread}";

// What was asked for, in the record
export const result = "Result";
export const value = "Value";
export const marked = "Read with";
export const passed = "passed";
export const notPassed = "failed";
export const undecided = "not decided";
export const limits = "Limits";
export const mustHold = "Must hold";
