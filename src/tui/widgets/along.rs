//! The time axis of the scope.

/// Time shown behind now, s.
const PAST_S: f64 = 40.0;
/// Time shown in all, s: now stands at two thirds.
const SPAN_S: f64 = 60.0;

/// Time along: whole dots, so that what has been drawn moves as one piece.
pub(super) struct TimeAxis {
    /// Dots in a second.
    pub per_s: f64,
    /// The dot at which now stands.
    pub now_dot: i32,
    now_column: i64,
}

impl TimeAxis {
    /// For a run that has flown so long, on so many dots.
    pub fn new(width_dots: i32, now_s: f64) -> TimeAxis {
        let per_s = f64::from(width_dots) / SPAN_S;
        TimeAxis {
            per_s,
            now_dot: (f64::from(width_dots) * PAST_S / SPAN_S) as i32,
            now_column: (now_s * per_s).floor() as i64,
        }
    }

    /// The dot of a time in the run, s.
    pub fn dot(&self, t_s: f64) -> i32 {
        let column = (t_s * self.per_s).floor() as i64 - self.now_column;
        self.now_dot + column.clamp(-100_000, 100_000) as i32
    }

    /// The time a dot stands for, s.
    pub fn time_s(&self, dot: i32) -> f64 {
        (self.now_column + i64::from(dot - self.now_dot)) as f64 / self.per_s
    }

    /// Counts dots from the run's beginning, so that a pattern made with it moves with the picture.
    pub fn column(&self, dot: i32) -> i64 {
        self.now_column + i64::from(dot - self.now_dot)
    }
}
