//! The debrief: the run summed up in one sentence, its curve with lever, engine and bill in one picture on one time axis, the
//! lines of the bill, and then everything else.

pub mod compare;
mod layout;
mod text;

use ratatui::layout::Rect;

use super::{figures, words};
use crate::export::excerpt;
use crate::export::rivals::Rivals;
use crate::export::told::{Debriefed, Kept};
use crate::run::Run;
use crate::score::story;
use crate::tui::canvas::Canvas;
use crate::tui::echo::EchoChoice;
use crate::tui::theme::{Mark, Role};
use crate::tui::widgets::stretch::{Second, Stretch};
use crate::why::Line as BillLine;

use compare::Earlier;
pub use layout::draw_print;

/// From this width on the text stands beside the picture.
const WIDE: u16 = 112;

/// Most rows of the first sentence.
const SAID_ROWS: u16 = 3;

/// A debrief that can be stepped through.
pub struct Debrief {
    /// What is known of the run.
    pub told: Debriefed,
    /// Its place in the list of runs, where it was opened from there.
    pub listed_at: Option<usize>,
    /// First row of the text in sight.
    pub scroll: u16,
    /// Whether to scroll to the chosen line.
    reveal: bool,
    leg: Option<usize>,
    rivals: Option<Rivals>,
    line: Option<usize>,
    against: EchoChoice,
    second: Option<(Second, String)>,
    earlier: Option<Earlier>,
}

impl Debrief {
    /// A debrief of the whole run. Beside it stands the better flight of the first line of its bill, or par if it has no line.
    pub fn new(told: Debriefed, listed_at: Option<usize>) -> Debrief {
        let mut debrief = Debrief {
            line: (!told.weighed.told().is_empty()).then_some(0),
            rivals: told.rivals(),
            told,
            listed_at,
            scroll: 0,
            reveal: false,
            leg: None,
            against: EchoChoice::Better,
            second: None,
            earlier: None,
        };
        debrief.hold_against(match debrief.line {
            Some(_) => EchoChoice::Better,
            None => EchoChoice::Par,
        });
        debrief
    }

    pub fn run(&self) -> &Run {
        &self.told.run
    }

    /// The chosen line of the bill.
    pub fn line(&self) -> Option<&BillLine> {
        self.told.weighed.told().get(self.line?).copied()
    }

    /// The first sentence: the run summed up; where a line other than the first is chosen, the sentence of that line; where
    /// nothing counts, how the run ended.
    fn said(&self) -> String {
        let weighed = &self.told.weighed;
        match (self.line, self.line()) {
            (Some(1..), Some(line)) => line.sentence.clone(),
            _ if weighed.first.is_empty() => story::ending(&self.told.run, &weighed.score),
            _ => weighed.first.clone(),
        }
    }

    /// The run that is drawn beside this one.
    pub fn second(&self) -> Option<&Second> {
        self.second.as_ref().map(|(second, _)| second)
    }

    /// That run, complete from its first tick on, with its name in one word.
    pub fn echo(&self) -> Option<(&'static str, Run)> {
        let mut run = self.told.run.clone();
        run.join(self.second()?.run.clone());
        Some((self.against.word(), run))
    }

    /// Whether the run was read from a file, so that it is not one of the learner looking at it.
    pub fn is_from_elsewhere(&self) -> bool {
        matches!(self.told.kept, Kept::Elsewhere(_))
    }

    /// The chosen leg; None for the whole run.
    pub fn leg(&self) -> Option<usize> {
        self.leg
    }

    /// Steps forth or back through the whole run, each of its tasks, and the whole run again. The costliest line of a task is
    /// chosen with it, unless the chosen line already belongs to the task.
    pub fn step(&mut self, forth: bool) {
        let legs = self.told.run.legs().len();
        self.leg = match (self.leg, forth) {
            (None, true) => Some(0),
            (None, false) => legs.checked_sub(1),
            (Some(leg), true) => (leg + 1 < legs).then_some(leg + 1),
            (Some(leg), false) => leg.checked_sub(1),
        };
        self.scroll = 0;
        self.reveal = true;
        let of_leg = self.told.weighed.told();
        let of_leg = of_leg.iter().position(|line| Some(line.leg) == self.leg);
        if of_leg.is_some() && self.line().map(|line| line.leg) != self.leg {
            self.line = of_leg;
            if self.against == EchoChoice::Better {
                self.hold_against(EchoChoice::Better);
            }
        }
    }

    /// Steps to the next or the previous line of the bill and draws its better flight beside the run. A picture of a single task
    /// turns to the task of the line.
    pub fn next_line(&mut self, forth: bool) {
        let count = self.told.weighed.told().len();
        let Some(current) = self.line.filter(|_| count > 0) else {
            return;
        };
        let shown = self.against == EchoChoice::Better;
        self.line = Some(match (shown, forth) {
            // The first key press only brings the current line back into the picture.
            (false, _) => current,
            (true, true) => (current + 1) % count,
            (true, false) => (current + count - 1) % count,
        });
        if self.leg.is_some() {
            self.leg = self.line().map(|line| line.leg);
        }
        self.reveal = true;
        self.hold_against(EchoChoice::Better);
    }

    /// The same debrief with another run of the drill beside it, given with its id and points.
    pub fn beside(mut self, id: String, points: Option<f64>, run: Run) -> Debrief {
        self.earlier = Some(Earlier { id, points, run });
        self.hold_against(EchoChoice::Earlier);
        self
    }

    /// Compares the run with the next choice that is available; `earlier` looks up an earlier run in the logbook.
    pub fn next_against(&mut self, earlier: impl FnOnce() -> Option<Earlier>) {
        let mut earlier = Some(earlier);
        let mut wanted = self.against.next_afterwards();
        loop {
            if wanted == EchoChoice::Earlier && self.earlier.is_none() {
                self.earlier = earlier.take().and_then(|look_up| look_up());
            }
            self.hold_against(wanted);
            if self.second.is_some() || wanted == EchoChoice::Off {
                return;
            }
            wanted = wanted.next_afterwards();
        }
    }

    fn hold_against(&mut self, against: EchoChoice) {
        self.second = self.second_of(against);
        self.against = against;
    }

    fn stretch(&self) -> Stretch<'_> {
        let run = &self.told.run;
        let whole = match self.leg {
            Some(leg) => Stretch::of_leg(run, leg, self.second()),
            None => Stretch::whole(run),
        };
        Stretch {
            second: self.second(),
            marks: &self.told.recording.marks,
            until: self.line().and_then(|line| line.until),
            ..whole
        }
    }
}

pub fn draw(debrief: &mut Debrief, area: Rect, canvas: &mut Canvas) {
    head(debrief, area, canvas);
    let body = Rect::new(area.x, area.y + 2, area.width, area.height - 3);
    let more = match area.width >= WIDE {
        true => layout::draw_beside(debrief, body, canvas),
        false => layout::draw_below(debrief, body, canvas),
    };
    foot(debrief, more, area, canvas);
}

/// Draws the head: the drill and its points; what is in sight, and what the dotted line is.
fn head(debrief: &Debrief, area: Rect, canvas: &mut Canvas) {
    let run = &debrief.told.run;
    let score = &debrief.told.weighed.score;
    let points = match score.points {
        Some(points) => format!("{points:.0} points "),
        None if score.is_asked_for() => "points not known ".to_string(),
        None => "not scored ".to_string(),
    };
    let points = canvas.theme.line(points, Role::Strong);
    words::head(&run.drill().title, "debrief", points, area, canvas);
    let second = debrief.second.as_ref();
    let dotted = match second {
        None => String::new(),
        // The picture shows another task, or one that the second run was not asked.
        Some(_) if debrief.stretch().pieces().next().is_none() => {
            "no dotted line in this task ".to_string()
        }
        Some((_, what)) => format!("dotted: {what} "),
    };
    let room = usize::from(area.width).saturating_sub(dotted.chars().count() + 3);
    let sight = match debrief.leg {
        None => {
            let ending = figures::ending(&debrief.told.weighed.score);
            let ending = ending.map_or_else(String::new, |ending| format!(": {ending}"));
            format!(" the whole run, {}{ending}", words::clock(run.time_s()))
        }
        Some(leg) => {
            let (n, leg) = (run.leg_number(leg), &run.legs()[leg]);
            let from_m = run.trace().state(leg.start as usize).h_m;
            let full = format!(" {n}  {}", words::task(&leg.kind, from_m));
            match full.chars().count() <= room {
                true => full,
                false => format!(" {n}  {}", words::task_name(&leg.kind)),
            }
        }
    };
    let sight = canvas.theme.line(sight, Role::Ink);
    let dotted = canvas.theme.line(dotted, Role::Alternative);
    words::row(sight, dotted, area.y + 1, area, canvas);
}

/// Draws the keys in the longest form that fits. What to do next is dropped first while the top of the text, which also says it,
/// is in sight.
fn foot(debrief: &Debrief, more: bool, area: Rect, canvas: &mut Canvas) {
    let arrows = canvas.theme.mark(Mark::SIDEWAYS);
    let lines = debrief.line.map_or("", |_| "   tab line");
    let back = match debrief.listed_at {
        _ if debrief.is_from_elsewhere() => "q leave",
        Some(_) => "q back",
        None if debrief.run().drill().id == excerpt::ID => "q back",
        None => "q menu",
    };
    let few = format!(" {arrows} tasks{lines}");
    let next = match debrief.is_from_elsewhere() {
        true => " enter fly it   n next drill  ",
        false => " enter again   n next drill  ",
    };
    // Without a lever there is nothing to see moving.
    let is_seen = debrief.run().known().lever;
    let play = if is_seen { "   p play" } else { "" };
    let more = if more { "down: more   " } else { "" };
    let all = format!("{few}   c compare{play}");
    let lefts = match debrief.scroll {
        0 => [format!("{next}{all}"), all, few],
        _ => [
            format!("{next}{all}"),
            format!("{next}{few}"),
            format!("{}{lines}", next.trim_end()),
        ],
    };
    let out = format!("{more}{back}");
    let length = |text: &str| text.chars().count();
    let room = usize::from(area.width).saturating_sub(length(&out) + "   ? help ".len() + 2);
    let fits = |left: &&String| length(left) <= room;
    let left = lefts.iter().find(fits).unwrap_or(&lefts[2]);
    words::foot(left.as_str(), &out, area, canvas);
}
