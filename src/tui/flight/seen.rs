//! What a screen shows of a flight besides the run: the window, the forecast, the levers that have a name.

use super::Flight;
use crate::drill::{Aids, Kind, Target};
use crate::plan::power;
use crate::sim::dynamics::State;
use crate::sim::trim;
use crate::tui::widgets::measure::Measure;
use crate::tui::widgets::posts;
use crate::tui::widgets::scope::{FORECAST_DOTS, FORECAST_EVERY_TICKS, Window};

impl Flight {
    /// Returns whether there was a capture, a gate or a call since this was last asked.
    pub fn take_news(&mut self) -> bool {
        let legs = self.run.legs().iter();
        let captures = legs.filter(|leg| leg.captured == Some(true));
        let posts = posts::of_path(&self.run);
        let gates = posts.iter().filter(|post| post.is_gate && post.is_passed);
        let calls = usize::from(self.run.leg().approach.called.is_some());
        let news = captures.count() + gates.count() + calls;
        news > std::mem::replace(&mut self.news, news)
    }

    /// The scope's window for a picture of this many rows; it follows the run.
    pub fn window(&mut self, rows: u16) -> Window {
        let window = match self.window {
            Some(window) => window.following(&self.run, self.measure(), rows),
            None => Window::new(&self.run, self.measure(), rows),
        };
        *self.window.insert(window)
    }

    /// A path that is still out of sight is flown by altitude.
    fn measure(&self) -> Measure {
        match self.sees_path() {
            true => Measure::of(&self.run.leg().target),
            false => Measure::Altitude,
        }
    }

    /// The distance at which a person comes to see the path, m, while it is still out of sight. A person who only watches a hand
    /// sees it from the start.
    pub fn hidden_until_m(&self) -> Option<f64> {
        let (leg, state) = (self.run.leg(), self.run.world().state());
        let (Kind::Path(path), None) = (&leg.kind, self.shown_by()) else {
            return None;
        };
        let distance_m = path.glide.distance_m(state, self.run.tick());
        path.show_m.filter(|show_m| distance_m > *show_m)
    }

    /// Whether the task under way is in sight; only a path can be out of sight.
    pub fn sees_path(&self) -> bool {
        self.hidden_until_m().is_none()
    }

    /// The states to come if the lever stays put; empty without that aid, and on the deck.
    pub fn forecast(&mut self) -> &[State] {
        if self.run.leg().approach.is_down() {
            self.forecast = (None, Vec::new());
        } else if self.aids == Aids::Full && self.forecast.0 != Some(self.run.tick()) {
            let world = self.run.world();
            let future = world.forecast(self.run.lever(), FORECAST_EVERY_TICKS, FORECAST_DOTS);
            self.forecast = (Some(self.run.tick()), future);
        }
        &self.forecast.1
    }

    /// The lever that flies level on speed here; None without that aid.
    pub fn level_lever(&self) -> Option<f64> {
        (self.aids != Aids::Bare).then(|| {
            let world = self.run.world();
            trim::on_speed(world.aircraft(), world.state().h_m, 0.0).lever
        })
    }

    /// The levers that have a name here: level flight's and, where a path is asked for, the path's. Empty without that aid.
    pub fn named_levers(&self) -> Vec<(&'static str, f64)> {
        let level = self.level_lever().map(|lever| ("level", lever));
        let path = self.path_lever().map(|lever| ("path", lever));
        level.into_iter().chain(path).collect()
    }

    fn path_lever(&self) -> Option<f64> {
        let (leg, world) = (self.run.leg(), self.run.world());
        let Target::Path(glide) = leg.target else {
            return None;
        };
        let is_told = self.aids != Aids::Bare && self.sees_path();
        if !is_told || leg.approach.is_down() {
            return None;
        }
        let distance_m = glide.distance_m(world.state(), self.run.tick()).max(0.0);
        let wind = world.air().mean(world.state().h_m);
        let flown = power::on_glide(world.aircraft(), &glide, distance_m, &wind);
        Some(flown.trim.lever)
    }
}
