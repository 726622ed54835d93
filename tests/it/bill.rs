//! The bill: where the points of a task went. Flown by pilots of six styles, none of which shares code with a hand of the
//! program, each clean and with single planted faults, on made-up drills.

mod badly;
mod cases;
mod debriefs;
mod left_out;
mod practise;
mod reader;
mod recorded;
mod retry;
mod strange;
mod table;
