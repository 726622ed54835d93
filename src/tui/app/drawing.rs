//! Which screen is drawn.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::{App, Help, LEAST, Screen};
use crate::tui::screens::brief::Briefing;
use crate::tui::screens::{
    aeroplane, brief, debrief, fly, guided, hands, help, menu, predict, replay, runs, sofar, weigh,
    words,
};
use crate::tui::theme::{Role, Theme};

/// Before a run is begun again that has earned something.
const ASKS_AGAIN: &str = "begin again? this run ends here then   r yes   space no, go on";

impl App {
    /// Draws the screen.
    pub fn draw(&mut self, frame: &mut Frame) {
        let (area, theme) = (frame.area(), self.settings.theme);
        self.size = (area.width, area.height);
        let buffer = frame.buffer_mut();
        if !self.has_room() {
            let is_paused = matches!(self.screen, Screen::Fly(_) | Screen::Replay(_));
            ask_for_room(area, is_paused, buffer, &theme);
            return;
        }
        let (chosen, aids) = (self.chosen, self.chosen_aids());
        match &mut self.screen {
            Screen::Menu => menu::draw(&self.menu(), area, buffer, &theme),
            Screen::Aeroplane(page) => aeroplane::draw(page, area, buffer, &theme),
            Screen::Brief { scroll, more } => {
                let drill = &self.shelf.drills[chosen];
                let (sheet, trouble) = match self.prepared.sheet(chosen) {
                    Some(Ok(sheet)) => (Some(sheet), None),
                    Some(Err(why)) => (None, Some(why)),
                    None => (None, None),
                };
                let briefing = Briefing {
                    drill,
                    best: self.shelf.best(chosen),
                    aids,
                    echo: self.settings.echo,
                    sheet,
                    trouble,
                    more: *more,
                };
                brief::draw(&briefing, scroll, area, buffer, &theme);
            }
            Screen::Predict(guessing) => predict::draw(guessing, area, buffer, &theme),
            Screen::Hands(choosing) => {
                let drill = &self.shelf.drills[chosen];
                hands::draw(choosing, drill, area, buffer, &theme);
            }
            Screen::Fly(flight) => {
                match &self.guided {
                    Some(guided) => {
                        guided::draw(guided, flight, area, buffer, &theme);
                    }
                    None => fly::draw(flight, area, buffer, &theme),
                }
                if self.asks_again {
                    words::ask(ASKS_AGAIN, area, buffer, &theme);
                }
            }
            Screen::Weigh(ending) => {
                weigh::draw(ending.title(), ending.share, area, buffer, &theme)
            }
            Screen::Replay(replay) => replay::draw(replay, area, buffer, &theme),
            Screen::Runs(runs) => runs::draw(runs, area, buffer, &theme),
            Screen::SoFar(so_far) => sofar::draw(so_far, area, buffer, &theme),
            Screen::Debrief(debrief) => debrief::draw(debrief, area, buffer, &theme),
        }
        match self.help {
            None => {}
            Some(Help::Words) => help::draw_words(area, buffer, &theme),
            Some(_) => {
                self.help = Some(match help::draw(self.place(), area, buffer, &theme) {
                    true => Help::KeysOfMore,
                    false => Help::Keys,
                });
            }
        }
    }
}

fn ask_for_room(area: Rect, is_paused: bool, buffer: &mut ratatui::buffer::Buffer, theme: &Theme) {
    let (columns, rows) = LEAST;
    let lines = [
        format!("leveloff needs {columns} x {rows}"),
        format!("this is {} x {}", area.width, area.height),
        if is_paused { "paused" } else { "" }.to_string(),
    ];
    for (row, line) in lines.iter().enumerate().take(area.height as usize) {
        let y = area.y + row as u16;
        buffer.set_stringn(area.x, y, line, area.width as usize, theme.style(Role::Ink));
    }
}
