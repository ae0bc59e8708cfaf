//! The oracle: an independent second opinion on what the compiler proves.
//!
//! It shares only the resolved model (and exact quantities) with the product. It has no solver and knows no symbolic
//! condition: it walks one concrete job after the other, the way a technician would, and looks at what happens.
//!
//! Terms. A *walk* is one job: one value for every option and given, and a reading each time one is asked for. A
//! *fault* is a rule of the catalogue that the walk shows. A fault is *certain* where the meaning of the language leaves
//! no doubt, and *possible* where an earlier fault of the same walk already left the meaning open (a branch that no
//! reading takes, say): the compiler must report the certain ones, and may report the possible ones. *One cause, one
//! message* is why: after the first fault of a joint on a walk, its later faults are only possible.
//!
//! How each open question of the language was decided stands at the function that decides it, marked **Decision**.

pub mod answers;
pub mod circuits;
pub mod claims;
pub mod compare;
pub mod endings;
pub mod enumerate;
pub mod generate;
pub mod grid;
pub mod influence;
pub mod interpreter;
pub mod joints;
pub mod knowledge;
pub mod lines;
pub mod loads;
pub mod parts;
pub mod places;
pub mod replay;
pub mod safety;
pub mod shortest;
pub mod ties;
pub mod trace;
pub mod words;
