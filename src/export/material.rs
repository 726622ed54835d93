//! What a debrief is made of, and where it comes from.

use super::text::{by, when, word};
use crate::logbook::Note;
use crate::run::recording::Means;
use crate::run::{Recording, Run};
use crate::why::{Pars, Weighed};

/// What a debrief is made of.
pub struct Material<'a> {
    /// Where it comes from.
    pub origin: Origin<'a>,
    /// The run.
    pub run: &'a Run,
    /// What it was worth.
    pub weighed: &'a Weighed,
    /// What it was measured against, if anything.
    pub pars: Option<&'a Pars>,
    /// What others said of it.
    pub notes: &'a [Note],
    /// How it stands beside the runs before it, in one sentence.
    pub lately: Option<&'a str>,
}

/// Where a run comes from.
#[derive(Clone, Copy)]
pub enum Origin<'a> {
    /// It was flown here.
    Recording(&'a Recording),
    /// It was read from a track: what is to be said of that, a sentence each, the first of them where it was read.
    Track(&'a [String]),
}

impl<'a> Origin<'a> {
    /// Who moved the lever, in a word.
    pub fn hand(&self) -> String {
        match self {
            Origin::Recording(recording) => word(recording.hand),
            Origin::Track(_) => "of a track".to_string(),
        }
    }

    /// When, by whom and with what help it was flown, or where it was read.
    pub fn flown(&self) -> String {
        let recording = match self {
            Origin::Recording(recording) => recording,
            Origin::Track(told) => return told.first().cloned().unwrap_or_default(),
        };
        let mut flown = format!("flown {}", when(&recording.at));
        if !recording.id.is_empty() {
            flown = format!("{flown}, run {}", recording.id);
        }
        format!("{flown}{}, aids {}", by(recording), word(recording.aids))
    }

    /// What else is to be said of where it comes from.
    pub fn told(&self) -> &'a [String] {
        match self {
            Origin::Recording(_) => &[],
            Origin::Track(told) => told.get(1..).unwrap_or_default(),
        }
    }

    /// Ticks at which the learner left a mark.
    pub fn marks(&self) -> &'a [u64] {
        match self {
            Origin::Recording(recording) => &recording.marks,
            Origin::Track(_) => &[],
        }
    }

    /// What a person moved the lever with.
    pub fn moved_with(&self) -> &'a [Means] {
        match self {
            Origin::Recording(recording) => &recording.moved_with,
            Origin::Track(_) => &[],
        }
    }

    /// What the learner guessed before flying.
    pub fn guesses(&self) -> &'a [Option<f64>] {
        match self {
            Origin::Recording(recording) => &recording.guesses,
            Origin::Track(_) => &[],
        }
    }
}
