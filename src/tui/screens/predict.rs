//! Guess first: the numbers to be guessed are asked for one by one before flying.

use ratatui::layout::Rect;

use super::words;
use crate::brief::predict::{Question, Unit};
use crate::drill::reader::plain;
use crate::tui::action::Action;
use crate::tui::canvas::Canvas;
use crate::tui::theme::{Mark, Role};
use crate::tui::typed::Typed;
use crate::tui::widgets::page::Page;

/// Questions, and the answers so far.
#[derive(Default)]
pub struct Guessing {
    title: String,
    /// None while they are being worked out.
    questions: Option<Vec<Question>>,
    guesses: Vec<Option<f64>>,
    entry: Typed,
    not_a_number: bool,
}

impl Guessing {
    /// Guessing under the title of a drill, with nothing asked yet.
    pub fn new(title: &str) -> Guessing {
        Guessing {
            title: title.to_string(),
            ..Guessing::default()
        }
    }

    /// Whether the questions are still to come.
    pub fn is_coming(&self) -> bool {
        self.questions.is_none()
    }

    pub fn ask(&mut self, questions: Vec<Question>) {
        self.questions = Some(questions);
    }

    /// Every guess, once all questions have been answered or passed over.
    pub fn done(&self) -> Option<&[Option<f64>]> {
        let questions = self.questions.as_ref()?;
        (self.guesses.len() == questions.len()).then_some(&self.guesses)
    }

    /// Handles a key: it edits the entry or takes it as the guess. An empty entry passes the question over.
    pub fn act(&mut self, action: Action) {
        self.not_a_number = false;
        if self.entry.act(action) {
            return;
        }
        let asked = self.questions.iter().flatten().nth(self.guesses.len());
        let most = asked.map_or(f64::INFINITY, |question| most(question.about.unit()));
        let guess = self.entry.number().filter(|guess| *guess <= most);
        if guess.is_none() && !self.entry.text().is_empty() {
            self.not_a_number = true;
            return;
        }
        self.guesses.push(guess);
        self.entry = Typed::default();
    }
}

pub fn draw(guessing: &Guessing, area: Rect, canvas: &mut Canvas) {
    let current = guessing.guesses.len();
    let questions = guessing.questions.as_deref().unwrap_or_default();
    let count = match questions.len() {
        0 => String::new(),
        all => format!("{} of {all} ", current + 1),
    };
    words::head(&guessing.title, "guess first", count, area, canvas);
    let mut page = Page::default();
    if guessing.is_coming() {
        page.push("the questions are being worked out", Role::Quiet);
    }
    for (index, question) in questions.iter().enumerate().take(current + 1) {
        let unit = unit(question);
        let (role, said) = match guessing.guesses.get(index) {
            Some(Some(guess)) => (Role::Quiet, format!("  your guess: {guess} {unit}")),
            Some(None) => (Role::Quiet, "  skipped".to_string()),
            None => {
                let (mark, written) = (canvas.theme.mark(Mark::CHOSEN), guessing.entry.text());
                (Role::Ink, format!("{mark} {written}_ {unit}"))
            }
        };
        page.push(&question.ask, role);
        page.gap();
        page.inset(1, [said], role);
        page.gap();
    }
    if let Some(question) = questions.get(current).filter(|_| guessing.not_a_number) {
        let most = plain(most(question.about.unit()));
        let takes = format!("Type a number from 0 to {most}.");
        page.push(takes, Role::Warning);
    }
    let inside = Rect::new(area.x + 1, area.y + 2, area.width - 2, area.height - 5);
    page.draw(&mut 0, inside, canvas);
    let after = " Then you fly. The debrief compares each guess with what the model gives.";
    canvas.put_within(area.x, area.bottom() - 3, after, area.width, Role::Quiet);
    let keys = " enter takes it; an empty line skips it";
    words::foot(keys, "q menu", area, canvas);
}

/// The largest guess accepted, in its unit.
fn most(unit: Unit) -> f64 {
    match unit {
        Unit::Percent => 100.0,
        // No level-off begins a mile above or below its altitude.
        Unit::Feet => 9_999.0,
    }
}

fn unit(question: &Question) -> &'static str {
    match question.about.unit() {
        Unit::Percent => "%",
        Unit::Feet => "ft",
    }
}
