//! Procedures: what is done aboard in which order, what must be seen before going on, and how far a run of it has come.
//!
//! A procedure is a text file ([`read`]) that a ship may edit; the usual ones are built in ([`USUAL`]). A [`Run`] is the list
//! of what was done of one, folded into where it stands. It is pure: readings are asked for through [`Seen`], and the
//! moment is an argument.
//!
//! Guards hold only on the way to more heat, to a tank or with chemicals. Shutting heat, stopping and emergencies are never
//! held: there a guard warns, and steps may be ticked afterwards with their true times. Of an emergency only the way back
//! to a tank is held, and nothing waits for it.

mod act;
mod again;
mod ask;
mod condition;
mod guard;
mod kind;
mod order;
mod read;
mod run;
mod seen;
mod shut;
mod standing;
mod strict;
mod undone;
mod usual;
mod wrong;

pub use act::{Act, ActError, Beside, UNNAMED};
pub use ask::{Answer, Held};
pub use condition::{Condition, ConditionError, Figure, Relation, Term, Times};
pub use kind::{Foretelling, Foretold, Nature, Procedure, Step, Towards, Who};
pub use read::{Names, Problem, read};
pub use run::{Run, State};
pub use seen::{Reading, Seen, Unmet};
pub use shut::{Second, Shut};
pub use standing::{Change, Handed, Look, OutOfOrder, Standing, Told};
pub use undone::Undone;
pub use usual::USUAL;
pub use wrong::Wrong;
