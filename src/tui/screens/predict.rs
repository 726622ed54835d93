//! Guess first: what the numbers will be, asked one by one before flying.

use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::{Paragraph, Widget, Wrap};

use super::words;
use crate::brief::predict::{Question, Unit};
use crate::tui::canvas::Canvas;
use crate::tui::theme::{Mark, Role};
use crate::tui::typed::Typed;

/// Questions, and the answers so far.
pub struct Guessing {
    title: String,
    /// None while they are being worked out.
    questions: Option<Vec<Question>>,
    guesses: Vec<Option<f64>>,
    entry: Typed,
    not_a_number: bool,
}

impl Guessing {
    /// Nothing asked yet.
    pub fn new(title: &str) -> Guessing {
        Guessing {
            title: title.to_string(),
            questions: None,
            guesses: Vec::new(),
            entry: Typed::default(),
            not_a_number: false,
        }
    }

    /// Whether the questions are still to come.
    pub fn is_coming(&self) -> bool {
        self.questions.is_none()
    }

    /// Asks them.
    pub fn ask(&mut self, questions: Vec<Question>) {
        self.questions = Some(questions);
    }

    /// Every guess, once all questions have been answered or passed over.
    pub fn done(&self) -> Option<&[Option<f64>]> {
        let questions = self.questions.as_ref()?;
        (self.guesses.len() == questions.len()).then_some(&self.guesses)
    }

    /// Writes a digit or a point.
    pub fn write(&mut self, character: char) {
        self.not_a_number = false;
        self.entry.write(character);
    }

    /// Takes the last character back.
    pub fn erase(&mut self) {
        self.not_a_number = false;
        self.entry.erase();
    }

    /// Takes what is written as the guess; nothing written passes the question over.
    pub fn take(&mut self) {
        let guess = self.entry.number();
        if guess.is_none() && !self.entry.text().is_empty() {
            self.not_a_number = true;
            return;
        }
        self.guesses.push(guess);
        self.entry = Typed::default();
    }
}

/// Draws it.
pub fn draw(guessing: &Guessing, area: Rect, canvas: &mut Canvas) {
    let (ink, quiet, theme) = (Role::Ink, Role::Quiet, canvas.theme);
    let current = guessing.guesses.len();
    let title = format!(" {}   guess first", guessing.title);
    let questions = guessing.questions.as_deref().unwrap_or_default();
    let count = match questions.len() {
        0 => String::new(),
        all => format!("{} of {all} ", current + 1),
    };
    let title = theme.line(title, Role::Strong);
    words::row(title, theme.line(count, ink), area.y, area, canvas);
    let mut lines = Vec::new();
    if guessing.is_coming() {
        lines.push(theme.line("what there is to guess is being worked out", quiet));
    }
    for (index, question) in questions.iter().enumerate().take(current + 1) {
        let unit = unit(question);
        let (role, said) = match guessing.guesses.get(index) {
            Some(Some(guess)) => (quiet, format!("   you say {guess} {unit}")),
            Some(None) => (quiet, "   passed over".to_string()),
            None => (ink, String::new()),
        };
        lines.push(theme.line(question.ask.clone(), role));
        lines.push(Line::default());
        lines.push(if index < current {
            theme.line(said, quiet)
        } else {
            let written = format!(" {} {}_ ", theme.mark(Mark::Chosen), guessing.entry.text());
            Line::from(vec![
                theme.span(written, Role::Strong),
                theme.span(unit, quiet),
            ])
        });
        lines.push(Line::default());
    }
    if guessing.not_a_number {
        lines.push(theme.line("That is not a number.", Role::Warning));
    }
    let inside = Rect::new(area.x + 1, area.y + 2, area.width - 2, area.height - 5);
    Paragraph::new(lines)
        .wrap(Wrap { trim: false })
        .render(inside, canvas.buffer);
    let after = " Then you fly. The debrief holds each guess against what the model gives.";
    canvas.put_within(area.x, area.bottom() - 3, after, area.width, quiet);
    let keys = " enter takes it; an empty line passes over";
    words::foot(keys, "q menu", area, canvas);
}

fn unit(question: &Question) -> &'static str {
    match question.unit {
        Unit::Percent => "%",
        Unit::Feet => "ft",
    }
}
