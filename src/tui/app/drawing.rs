//! Draws the screen that is open.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::{App, Help, LEAST, Screen};
use crate::tui::canvas::Canvas;
use crate::tui::screens::brief::Briefing;
use crate::tui::screens::{
    aeroplane, brief, debrief, fly, guided, hands, help, menu, predict, replay, runs, sofar, weigh,
    words,
};
use crate::tui::theme::Role;

/// Asked before a run is begun again in which a task that counts is finished.
const ASKS_AGAIN: &str = " begin again? this run will end here   r yes   space no, go on";

impl App {
    /// Draws the screen.
    pub fn draw(&mut self, frame: &mut Frame) {
        let (area, theme) = (frame.area(), self.settings.theme);
        self.size = (area.width, area.height);
        let buffer = frame.buffer_mut();
        let canvas = &mut Canvas { buffer, theme };
        if !self.has_room() {
            let is_paused = matches!(self.screen, Screen::Fly(_) | Screen::Replay(_));
            ask_for_room(area, is_paused, canvas);
            return;
        }
        let (chosen, aids) = (self.chosen, self.chosen_aids());
        match &mut self.screen {
            Screen::Menu => menu::draw(&self.menu(), area, canvas),
            Screen::Aeroplane(page) => aeroplane::draw(page, area, canvas),
            Screen::Brief { scroll, more } => {
                let briefing = Briefing {
                    drill: &self.shelf.drills[chosen],
                    best: self.shelf.best(chosen),
                    aids,
                    echo: self.settings.echo,
                    sheet: self.prepared.sheet(chosen),
                    more: *more,
                };
                brief::draw(&briefing, scroll, area, canvas);
            }
            Screen::Predict(guessing) => predict::draw(guessing, area, canvas),
            Screen::Hands(choosing) => {
                hands::draw(choosing, &self.shelf.drills[chosen], area, canvas);
            }
            Screen::Fly(flight) => {
                match &self.guided {
                    Some(guided) => guided::draw(guided, flight, area, canvas),
                    None => fly::draw(flight, area, canvas),
                }
                if self.asks_again {
                    let question = canvas.theme.line(ASKS_AGAIN, Role::Warning);
                    words::foot(question, "", area, canvas);
                }
            }
            Screen::Weigh(ending) => {
                let weighing = ending.weighing.as_ref();
                let share = weighing.map_or(0.0, |weighing| weighing.job.share());
                weigh::draw(&ending.run.drill().title, share, area, canvas);
            }
            Screen::Replay(replay) => replay::draw(replay, area, canvas),
            Screen::Runs(runs) => runs::draw(runs, area, canvas),
            Screen::SoFar(so_far) => sofar::draw(so_far, area, canvas),
            Screen::Debrief(debrief) => debrief::draw(debrief, area, canvas),
        }
        match self.help {
            None => {}
            Some(Help::Words) => help::draw_words(area, canvas),
            Some(Help::Keys { .. }) => {
                let has_more = help::draw(self.mode(), area, canvas);
                self.help = Some(Help::Keys { has_more });
            }
        }
    }
}

fn ask_for_room(area: Rect, is_paused: bool, canvas: &mut Canvas) {
    let (columns, rows) = LEAST;
    let lines = [
        format!("needs {columns} x {rows}"),
        format!("this is {} x {}", area.width, area.height),
        "ctrl-c ends".to_string(),
        if is_paused { "paused" } else { "" }.to_string(),
    ];
    for (row, line) in lines.iter().enumerate().take(area.height as usize) {
        let y = area.y + row as u16;
        canvas.put_within(area.x, y, line, area.width, Role::Ink);
    }
}
