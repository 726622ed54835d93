//! What is asked of the terminal: options that every command accepts, and that only the commands with a screen use.

use clap::ValueEnum;

use super::preferences::Preferences;
use crate::tui::Options;
use crate::tui::theme::Background;

/// On the screens
#[derive(clap::Args)]
#[command(next_help_heading = "On the screens")]
pub struct Args {
    /// Colours for a light or a dark background; if not given, the terminal is asked
    #[arg(long, global = true, value_enum)]
    theme: Option<ThemeArg>,
    /// Ring the bell at a capture, a gate and a call
    #[arg(long, global = true)]
    bell: bool,
    /// Move the lever with the mouse too: its wheel, and along the rail
    #[arg(long, global = true)]
    mouse: bool,
    /// Move the lever with the axis set up by `leveloff axes calibrate`, or with one set up in a file
    #[cfg(feature = "axes")]
    #[arg(long, global = true, value_name = "FILE", num_args = 0..=1, require_equals = true)]
    axis: Option<Option<std::path::PathBuf>>,
}

#[derive(Clone, Copy, ValueEnum)]
enum ThemeArg {
    Light,
    Dark,
}

impl Args {
    /// The options in the form that the screens take; those not given are as in the preferences.
    ///
    /// # Errors
    /// Where an axis is asked for and none is set up.
    pub fn options(&self, preferences: &Preferences) -> anyhow::Result<Options> {
        let preferred = || ThemeArg::from_str(preferences.text("theme")?, false).ok();
        Ok(Options {
            background: self.theme.or_else(preferred).map(|theme| match theme {
                ThemeArg::Light => Background::Light,
                ThemeArg::Dark => Background::Dark,
            }),
            bell: self.bell || preferences.flag("bell"),
            mouse: self.mouse || preferences.flag("mouse"),
            #[cfg(feature = "axes")]
            axis: match &self.axis {
                None => None,
                Some(file) => Some(super::axes::calibration(file.as_deref())?),
            },
        })
    }
}
