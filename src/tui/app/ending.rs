//! From the end of a run to its debrief: it is weighed, kept, and only then shown.

use std::time::Duration;

use super::{App, Screen};
use crate::drill::Drill;
use crate::export::excerpt;
use crate::export::told::{Debriefed, Kept};
use crate::logbook::{Entry, Logbook, PathName};
use crate::progress::lately_of;
use crate::run::recording::HandName;
use crate::run::{End, Recording, Run};
use crate::score::Score;
use crate::tui::effort::attempt;
use crate::tui::farewell;
use crate::tui::screens::debrief::Debrief;
use crate::tui::weighing::{WeighedRun, Weighing};
use crate::units::TICKS_PER_S;
use crate::why::{Bill, par, weigh};

/// A result that is ready within this time is waited for without a screen of its own.
const AT_ONCE: Duration = Duration::from_millis(100);
/// How long a result is waited for even where the weighing is cut short: most often it is almost ready.
const HASTE: Duration = Duration::from_millis(250);

/// A run left or begun again sooner than this was given up, and is not kept, ticks.
const GIVEN_UP: u64 = 5 * TICKS_PER_S;

/// A run that is over and not yet debriefed.
pub(super) struct Ending {
    pub run: Run,
    pub recording: Recording,
    pub guesses: Vec<String>,
    /// Its place in the list of runs, where it was opened from there.
    pub listed_at: Option<usize>,
    pub weighing: Option<Weighing>,
}

impl App {
    /// Has a run weighed where that is needed; its debrief follows once that is done.
    pub(super) fn weigh(&mut self, run: Run, recording: Recording, listed_at: Option<usize>) {
        let under_way = self.weighing.take().filter(|_| listed_at.is_none());
        let weighing = par::is_needed(&run).then(|| {
            let weighing = under_way.unwrap_or_else(|| {
                let brief = self.known_brief(run.drill());
                Weighing::begin(&self.settings.logbook, run.drill(), run.seed(), brief)
            });
            weighing.weigh(&run);
            weighing
        });
        self.screen = Screen::Weigh(Box::new(Ending {
            guesses: self.compare(&recording, &run),
            run,
            recording,
            listed_at,
            weighing,
        }));
        self.wait_for_weighing(AT_ONCE);
    }

    /// Debriefs a run that is still being weighed, without par.
    pub(super) fn tell_at_once(&mut self) {
        self.wait_for_weighing(HASTE);
        if matches!(self.screen, Screen::Weigh(_)) {
            self.tell_weighed(None);
        }
    }

    /// Takes in the result of the weighing, waiting for it no longer than `at_most`.
    pub(super) fn wait_for_weighing(&mut self, at_most: Duration) {
        let Screen::Weigh(ending) = &mut self.screen else {
            return;
        };
        let Some(weighing) = &mut ending.weighing else {
            return self.tell_weighed(None);
        };
        match weighing.job.wait(at_most) {
            None => {}
            Some(Ok(outcome)) => self.tell_weighed(Some(outcome)),
            Some(Err(why)) => {
                ending.guesses.push(format!("No par and no bill: {why}."));
                self.tell_weighed(None);
            }
        }
    }

    fn tell_weighed(&mut self, outcome: Option<WeighedRun>) {
        match std::mem::take(&mut self.screen) {
            Screen::Weigh(ending) => self.tell(*ending, outcome),
            other => self.screen = other,
        }
    }

    /// Keeps a run, then shows what it was worth.
    fn tell(&mut self, ending: Ending, outcome: Option<WeighedRun>) {
        let Ending { run, listed_at, .. } = ending;
        let (recording, guesses) = (ending.recording, ending.guesses);
        let (weighed, pars) = match outcome {
            Some(outcome) => (outcome.weighed, Some(outcome.pars)),
            None => match attempt(|| weigh(&run, None)) {
                Ok(weighed) => (weighed, None),
                // Even scoring without par broke down: the run is kept as it is, and there is nothing to show.
                Err(_) => {
                    if listed_at.is_none() {
                        let unscored = Score {
                            points: None,
                            tasks: Vec::new(),
                            complete: run.end() == Some(End::Complete),
                        };
                        let _ = self.keep_run(&recording, run.drill(), &unscored, &[]);
                    }
                    return;
                }
            },
        };
        let is_practice = run.drill().id == excerpt::ID;
        let is_left = run.end() == Some(End::Left) && !self.is_ended;
        let is_given_up = is_left && run.tick() < GIVEN_UP;
        let kept = match listed_at {
            Some(_) => Kept::As(recording.id.clone()),
            None if is_practice => Kept::Not("practice does not count".to_string()),
            None if is_given_up => Kept::Not("given up in its first five seconds".to_string()),
            None => match self.keep_run(&recording, run.drill(), &weighed.score, &weighed.bills) {
                Ok(entry) => {
                    let id = entry.id.clone();
                    if entry.hand == HandName::Person {
                        self.shelf.practice.add(entry.flown());
                    }
                    Kept::As(id)
                }
                Err(why) => Kept::Not(why),
            },
        };
        let id = match &kept {
            Kept::As(id) => Some(id.as_str()),
            Kept::Not(_) | Kept::Elsewhere(_) => None,
        };
        // Notes that cannot be read do not keep the rest from being shown.
        let found = id.and_then(|id| self.settings.logbook.notes(id).ok());
        let notes = found.map_or_else(Vec::new, |found| found.notes);
        let (lately, beside_last) = match &mut self.practising {
            Some(line) if is_practice => {
                let points = weighed.score.points.filter(|_| !is_left);
                line.attempts.extend(points);
                (line.attempts.clone(), line.sentence().filter(|_| !is_left))
            }
            _ => {
                let practice = &self.shelf.practice;
                let record = practice.record(&run.drill().id);
                let last = id.and_then(|id| lately_of(practice.flown(), id));
                (
                    record.map_or_else(Vec::new, |record| record.points()),
                    last.map(|last| last.sentence()),
                )
            }
        };
        let told = Debriefed {
            run,
            recording,
            weighed,
            pars,
            kept,
            guesses,
            notes,
            lately,
            beside_last,
        };
        self.screen = Screen::Debrief(Box::new(Debrief::new(told, listed_at)));
        self.look_up_next();
    }

    /// Keeps a run in the logbook; where that fails, among the system's temporary files, which is reported now and at the end.
    fn keep_run(
        &self,
        recording: &Recording,
        drill: &Drill,
        score: &Score,
        bills: &[Bill],
    ) -> Result<Entry, String> {
        let error = match self.settings.logbook.save(recording, drill, score, bills) {
            Ok(entry) => return Ok(entry),
            Err(error) => error,
        };
        let name = format!("leveloff-unsaved-{}", std::process::id());
        let spare = Logbook::at(std::env::temp_dir().join(name));
        let instead = match spare.save(recording, drill, score, bills) {
            Ok(Entry { id, .. }) => {
                let folder = PathName(spare.dir().to_path_buf());
                format!("for now it is run {id} of `leveloff --data {folder} log`")
            }
            Err(_) => "it could not be kept elsewhere either, and is lost".to_string(),
        };
        farewell::say(format!("the run could not be kept: {error}; {instead}"));
        Err(format!("{error}; {instead}"))
    }

    /// Chooses the drill of the debrief on the screen, which need not be the one chosen on the menu.
    pub(super) fn choose_debriefed(&mut self) {
        let Screen::Debrief(debrief) = &self.screen else {
            return;
        };
        let drill = debrief.run().drill();
        let place = self.shelf.place_of(drill);
        self.chosen = place.unwrap_or_else(|| self.shelf.add(drill.clone()));
    }
}
