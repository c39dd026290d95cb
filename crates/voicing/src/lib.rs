//! The two-hand part: which keys each hand takes at each chord, with which fingers, on which beat, and why.
//!
//! Conventions: shapes list their notes from the lowest up. Times are in quarter notes from the first bar line; a first
//! push lies below zero. Costs are whole numbers without unit; the table in [`Costs`] says what each is for.
//!
//! The way of a part: [`plan`] makes candidate shapes for each chord, finds the cheapest path through each section
//! exactly, moves it into the key of the night, gives fingers, turns figures into strikes ([`Event`]) and says why
//! ([`Reason`]).
//!
//! This crate knows no milliseconds and no devices.
#![forbid(unsafe_code)]

mod alternatives;
mod candidate;
mod candidate_left;
mod candidate_right;
mod claim;
mod cost;
mod event;
mod finger_costs;
mod finger_form;
mod finger_grip;
mod finger_notes;
mod finger_part;
mod finger_passage;
mod finger_span;
mod finger_stage;
mod finger_why;
mod graph;
mod lookup;
mod messages;
mod movement;
mod neighbour;
mod network;
mod pair;
mod part;
mod passing;
mod path;
mod pedal;
mod pin;
mod plan;
mod planner;
mod reason;
mod rhythm;
mod right_path;
mod search;
mod section_plan;
mod slash;
mod texture;
mod texture_figure;
mod transpose;
mod why;
mod why_not;

pub use alternatives::{Alternative, alternatives};
pub use claim::{Claim, FingerReason, Reason};
pub use cost::{Costs, low_interval_limit};
pub use finger_costs::FingerCosts;
pub use finger_notes::finger_notes;
pub use movement::movement;
pub use neighbour::neighbour;
pub use part::{
    Event, HeldNote, KeyRange, KeySpan, Level, Part, PartBar, PartChord, Proof, Reach, Role, Settings, Shape,
    Substitution,
};
pub use pedal::{PedalKind, PedalMark};
pub use pin::{AsHeld, At, CannotPin, Pin, PinScope, Recognised, as_held, share_between_hands, unpin};
pub use plan::{plan, plan_with};
pub use right_path::{RightPath, right_path};
pub use slash::{SecondNote, second_note};
pub use why_not::Fault;
