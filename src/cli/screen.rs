//! What is asked of the terminal: the options that every command takes and those with a screen heed.

use crate::tui::Options;

/// On the screens
#[derive(clap::Args)]
#[command(next_help_heading = "On the screens")]
pub struct Args {
    /// Move the lever with the mouse too: its wheel, and along the rail
    #[arg(long, global = true)]
    mouse: bool,
    /// Move the lever with the axis that `leveloff axes calibrate` has set up, or with that of a file
    #[cfg(feature = "axes")]
    #[arg(long, global = true, value_name = "FILE", num_args = 0..=1, require_equals = true)]
    axis: Option<Option<std::path::PathBuf>>,
}

impl Args {
    /// As the screens take them.
    ///
    /// # Errors
    /// Where an axis is asked for that is not set up.
    pub fn options(&self) -> anyhow::Result<Options> {
        Ok(Options {
            mouse: self.mouse,
            #[cfg(feature = "axes")]
            axis: match &self.axis {
                None => None,
                Some(file) => Some(super::axes::calibration(file.as_deref())?),
            },
        })
    }
}
