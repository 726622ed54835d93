//! Afterwards: what it comes to in one sentence, the run with lever, engine and bill in one picture on one time axis, the
//! lines of the bill, and then everything else.

pub mod compare;
mod text;

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};

use super::{figures, words};
use crate::export::rivals::Rivals;
use crate::logbook::Note;
use crate::run::Run;
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::page::Page;
use crate::tui::widgets::stretch::{Second, Stretch};
use crate::tui::widgets::strip::{self, Side};
use crate::tui::widgets::{bill_strip, lever_strip};
use crate::why::{Line as BillLine, Pars, Weighed};

use compare::{Against, Choice, Earlier};

/// From here on the text stands beside the picture.
const WIDE: u16 = 112;
/// From this height on the picture has room for a second curve above lever and engine.
const TALL: u16 = 24;

/// Rows of the picture at least.
const PICTURE_ROWS: u16 = 11;
/// Rows of the first sentence at most.
const SAID_ROWS: u16 = 3;
/// Rows of the bill and what follows below a picture that takes the whole width, at most.
const BELOW_ROWS: u16 = 6;

/// What is known of a run that is over.
pub struct Told {
    /// The run.
    pub run: Run,
    /// Score and bill.
    pub weighed: Weighed,
    /// What the built-in hands made of it; None where that is not needed or was not waited for.
    pub pars: Option<Pars>,
    /// The recording's id, or why there is none.
    pub saved: Result<String, String>,
    /// How often the clock had to be set right.
    pub stalls: usize,
    /// Ticks at which the learner left a mark.
    pub marks: Vec<u64>,
    /// Each guess made before flying, held against the truth.
    pub guesses: Vec<String>,
    /// A coach's notes.
    pub notes: Vec<Note>,
    /// How it stands beside the runs before it, in one sentence.
    pub lately: Option<String>,
}

/// A debrief that can be stepped through.
pub struct Debrief {
    /// What is known.
    pub told: Told,
    /// Its place in the list of runs, where it was opened from there.
    pub listed_at: Option<usize>,
    /// First line of the text in sight.
    pub scroll: u16,
    /// Whether the chosen line is to be scrolled to.
    reveal: bool,
    leg: Option<usize>,
    rivals: Option<Rivals>,
    line: Option<usize>,
    against: Against,
    second: Option<(Second, String)>,
    earlier: Option<Earlier>,
}

impl Debrief {
    /// The whole run, beside it the better flight of the dearest line of its bill; without one, par.
    pub fn new(told: Told, listed_at: Option<usize>) -> Debrief {
        let mut debrief = Debrief {
            line: (!told.weighed.told().is_empty()).then_some(0),
            rivals: told.pars.as_ref().map(|pars| Rivals::of(&told.run, pars)),
            told,
            listed_at,
            scroll: 0,
            reveal: false,
            leg: None,
            against: Against::Better,
            second: None,
            earlier: None,
        };
        debrief.hold_against(match debrief.line {
            Some(_) => Against::Better,
            None => Against::Par,
        });
        debrief
    }

    /// The run.
    pub fn run(&self) -> &Run {
        &self.told.run
    }

    /// The line of the bill that is chosen.
    pub fn line(&self) -> Option<&BillLine> {
        self.told.weighed.told().get(self.line?).copied()
    }

    /// The run that is drawn beside it.
    pub fn second(&self) -> Option<&Second> {
        self.second.as_ref().map(|(second, _)| second)
    }

    /// The same as a run from its first tick on, and its name in one word.
    pub fn echo(&self) -> Option<(&'static str, Run)> {
        let (run, name) = (&self.second()?.run, self.against.word());
        Some((name, compare::from_the_start(run)))
    }

    /// The leg that is looked at.
    pub fn leg(&self) -> Option<usize> {
        self.leg
    }

    /// To the next or the one before: the whole run, each of its tasks, the whole run again. A task's dearest line is
    /// chosen with it.
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
            if self.against == Against::Better {
                self.hold_against(Against::Better);
            }
        }
    }

    /// To the next line of the bill, its better flight beside the run; a picture of another task turns to the line's.
    pub fn next_line(&mut self, forth: bool) {
        let count = self.told.weighed.told().len();
        let Some(current) = self.line.filter(|_| count > 0) else {
            return;
        };
        let shown = self.against == Against::Better;
        self.line = Some(match (shown, forth) {
            // The first time it only comes back into the picture.
            (false, _) => current,
            (true, true) => (current + 1) % count,
            (true, false) => (current + count - 1) % count,
        });
        if self.leg.is_some() {
            self.leg = self.line().map(|line| line.leg);
        }
        self.reveal = true;
        self.hold_against(Against::Better);
    }

    /// Beside the run stands the next of what there is; `earlier` looks the logbook up.
    pub fn next_against(&mut self, earlier: impl FnOnce() -> Option<Earlier>) {
        let mut earlier = Some(earlier);
        let mut wanted = self.against.next();
        loop {
            if wanted == Against::Earlier && self.earlier.is_none() {
                self.earlier = earlier.take().and_then(|look_up| look_up());
            }
            self.hold_against(wanted);
            if self.second.is_some() || wanted == Against::Nothing {
                return;
            }
            wanted = wanted.next();
        }
    }

    fn hold_against(&mut self, against: Against) {
        let choice = Choice {
            run: &self.told.run,
            line: self.line(),
            pars: self.told.pars.as_ref(),
            earlier: self.earlier.as_ref(),
        };
        self.second = choice.second(against);
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
            marks: &self.told.marks,
            until: self.line().and_then(|line| line.until),
            ..whole
        }
    }
}

/// Draws it.
pub fn draw(debrief: &mut Debrief, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    head(debrief, area, buffer, theme);
    let said = first_sentence(debrief, area, buffer, theme);
    let body = Rect {
        y: area.y + 2 + said,
        height: area.height - 3 - said,
        ..area
    };
    let (page, chosen) = text::page(debrief, area.width < WIDE, theme);
    let columns = figures::columns(&debrief.told.run, &debrief.told.weighed.score);
    let few = figures::height(&columns, false);
    let (left, text) = if area.width >= WIDE {
        let width = (u32::from(area.width) * 36 / 100).clamp(40, 76) as u16;
        let left = Rect {
            width: area.width - width - 2,
            ..body
        };
        let text = Rect {
            x: left.right() + 2,
            width: width - 1,
            ..body
        };
        (left, text)
    } else {
        let below = BELOW_ROWS.max(body.height / 4);
        let height = (body.height - below).max(PICTURE_ROWS.min(body.height));
        let left = Rect { height, ..body };
        let text = Rect {
            x: body.x,
            y: left.bottom(),
            width: body.width - 1,
            height: body.height - height,
        };
        (left, text)
    };
    let rows = match left.height {
        height if height >= TALL + figures::height(&columns, true) => {
            figures::height(&columns, true)
        }
        height if height >= PICTURE_ROWS + few + 2 => few,
        _ => 0,
    };
    let picture = Rect {
        height: left.height - rows,
        ..left
    };
    let below = Rect {
        y: picture.bottom(),
        height: rows,
        ..left
    };
    draw_picture(debrief, picture, buffer, theme);
    if rows > 0 {
        figures::draw(&columns, debrief.leg, below, buffer, theme);
    }
    if std::mem::take(&mut debrief.reveal) {
        page.reveal(chosen, &mut debrief.scroll, text);
    }
    let more = page.draw(&mut debrief.scroll, text, buffer, theme);
    foot(debrief, more, area, buffer, theme);
}

/// What it comes to; the rows that takes.
fn first_sentence(debrief: &Debrief, area: Rect, buffer: &mut Buffer, theme: &Theme) -> u16 {
    if debrief.told.weighed.first.is_empty() {
        return 0;
    }
    let mut page = Page::default();
    page.push(debrief.told.weighed.first.clone(), Role::Strong);
    let rows = page.rows(area.width - 2).min(SAID_ROWS);
    let area = Rect {
        x: area.x + 1,
        y: area.y + 2,
        width: area.width - 2,
        height: rows,
    };
    page.draw(&mut 0, area, buffer, theme);
    rows
}

/// The drill and its points; what is in sight and what the dotted line is.
fn head(debrief: &Debrief, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let run = &debrief.told.run;
    let points = match debrief.told.weighed.score.points {
        Some(points) => format!("{points:.0} points "),
        None => "not scored ".to_string(),
    };
    let strong = theme.style(Role::Strong);
    let title = Line::from(vec![
        Span::styled(format!(" {}", run.drill().title), strong),
        Span::styled("   debrief", theme.style(Role::Quiet)),
    ]);
    words::row(buffer, area, area.y, title, Line::styled(points, strong));
    let second = debrief.second.as_ref();
    let dotted = match second {
        None => String::new(),
        // The picture of another task, or one that the second run was not asked.
        Some(_) if debrief.stretch().pieces().next().is_none() => {
            "nothing dotted in this task ".to_string()
        }
        Some((_, what)) => format!("dotted: {what} "),
    };
    let room = usize::from(area.width).saturating_sub(dotted.chars().count() + 3);
    let sight = match debrief.leg {
        None => format!(" the whole run, {}", words::clock(run.time_s())),
        Some(leg) => {
            let (n, leg) = (run.leg_number(leg), &run.legs()[leg]);
            let from_m = run.trace().at(leg.start as usize).state.h_m;
            let full = format!(" {n}  {}", words::task(&leg.kind, from_m));
            match full.chars().count() <= room {
                true => full,
                false => format!(" {n}  {}", words::task_name(&leg.kind)),
            }
        }
    };
    let sight = Line::styled(sight, theme.style(Role::Ink));
    let dotted = Line::styled(dotted, theme.style(Role::Alternative));
    words::row(buffer, area, area.y + 1, sight, dotted);
}

fn draw_picture(debrief: &Debrief, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let stretch = debrief.stretch();
    let lever_rows = (area.height / 4).max(3);
    let bill_rows = match debrief.line.is_some() {
        true => (area.height / 8).clamp(2, 4),
        false => 0,
    };
    let mut sides = Side::of(&stretch);
    if area.height < TALL {
        sides.truncate(1);
    }
    let rows = (area.height - lever_rows - bill_rows - 1) / sides.len() as u16;
    let mut y = area.y;
    for side in sides {
        let height = rows.min(area.bottom() - y);
        strip::curve_of(side, &stretch, Rect { y, height, ..area }, buffer, theme);
        y += height;
    }
    let times = Rect {
        y: area.bottom() - 1,
        height: 1,
        ..area
    };
    let bill = Rect {
        y: times.y - bill_rows,
        height: bill_rows,
        ..area
    };
    let lever = Rect {
        y,
        height: bill.y - y,
        ..area
    };
    lever_strip::lever(&stretch, lever, buffer, theme);
    let weighed = &debrief.told.weighed;
    bill_strip::bill(
        &stretch,
        &weighed.bills,
        &weighed.told(),
        debrief.line,
        bill,
        buffer,
        theme,
    );
    lever_strip::times(&stretch, times, buffer, theme);
}

/// The keys in the longest form that has room.
fn foot(debrief: &Debrief, more: bool, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let arrows = match theme.unicode {
        true => "←→",
        false => "left, right",
    };
    let lines = match debrief.line {
        None => "",
        Some(_) => "   tab line   x practise",
    };
    let back = match debrief.listed_at {
        Some(_) => "q back",
        None => "q menu",
    };
    let few = format!("{arrows} tasks{lines}");
    let steps = format!("{few}   c compare   p play");
    let more = if more { "down: more   " } else { "" };
    let lefts = [
        format!(" enter again   {steps}   n next drill"),
        format!(" enter again   {steps}"),
        format!(" {steps}"),
        format!(" {few}"),
    ];
    let rights = [
        format!("{more}{back}   ? help "),
        format!("{back}   ? help "),
    ];
    let length = |text: &str| text.chars().count();
    let fits =
        |pair: &(&String, &String)| length(pair.0) + length(pair.1) + 2 <= usize::from(area.width);
    // That there is more below is told before the keys that can do without.
    let pairs = rights
        .iter()
        .flat_map(|right| lefts.iter().map(move |left| (left, right)));
    let (left, right) = pairs
        .into_iter()
        .find(fits)
        .unwrap_or((&lefts[3], &rights[1]));
    let line = |text: &str| Line::styled(text.to_string(), theme.style(Role::Quiet));
    words::row(buffer, area, area.bottom() - 1, line(left), line(right));
}
