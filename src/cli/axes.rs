//! `axes`: find, set up and try a throttle or joystick axis that is to be the lever.

use std::io::BufRead;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{self, Receiver};
use std::time::{Duration, Instant};

use anyhow::Context;
use clap::Subcommand;
use etcetera::BaseStrategy;

use super::{Wrong, output, wrong};
use crate::drill::reader::printable;
use crate::logbook::files;
use crate::tui::axis::{AxisReport, Calibration, reports};

/// Largest file of a set-up that is read, bytes.
const LARGEST: u64 = 1 << 20;
/// How long a device is listened to for the state of its axes, which it reports at once.
const LISTEN: Duration = Duration::from_millis(200);
/// How long an axis is left alone to measure its noise.
const REST: Duration = Duration::from_secs(1);
/// The dead zone is this many times the noise of an axis at rest, and no less than the lever's own step.
const OVER_TREMBLING: f64 = 1.5;
const LEAST_DEAD: f64 = 0.1;

/// Find, set up and try a throttle or joystick axis as the lever; then fly with --axis
#[derive(clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: Option<What>,
}

#[derive(Subcommand)]
enum What {
    /// List the devices and their axes (the default)
    Find {
        /// Where the devices are
        #[arg(long, value_name = "DIR", default_value = DEVICES)]
        dir: PathBuf,
    },
    /// Set up an axis: its range, which end is full power, its dead zone
    Calibrate {
        /// The device's file
        device: PathBuf,
        /// Number of the axis, instead of the one you move most
        #[arg(long, value_name = "N")]
        number: Option<u8>,
        /// Where to write it, instead of your configuration folder
        #[arg(long, value_name = "FILE")]
        to: Option<PathBuf>,
    },
    /// Show the lever as the axis moves it, until the device is gone or you press ctrl-c
    Test {
        /// The file that `calibrate` wrote, if not in your configuration folder
        file: Option<PathBuf>,
    },
}

const DEVICES: &str = "/dev/input";

/// Finds, sets up or tries an axis.
pub fn run(args: Args) -> anyhow::Result<()> {
    match args.what {
        None => find(Path::new(DEVICES)),
        Some(What::Find { dir }) => find(&dir),
        Some(What::Calibrate { device, number, to }) => calibrate(device, number, to),
        Some(What::Test { file }) => test(file.as_deref()),
    }
}

/// The axis that was set up.
///
/// # Errors
/// Where none is set up, or its set-up is not right.
pub fn calibration(file: Option<&Path>) -> anyhow::Result<Calibration> {
    let file = match file {
        Some(file) => file.to_path_buf(),
        None => usual_file()?,
    };
    let shown = file.display();
    let bytes = files::read(&file, LARGEST).map_err(|error| {
        Wrong(format!(
            "{shown}: {error}; set up an axis with `leveloff axes calibrate DEVICE`"
        ))
    })?;
    let text = String::from_utf8_lossy(&bytes);
    let axis: Calibration =
        toml::from_str(&text).map_err(|error| Wrong(format!("{shown}: {}", error.message())))?;
    match axis.fault() {
        Some(fault) => wrong(format!("{shown}: {fault}")),
        None => Ok(axis),
    }
}

fn usual_file() -> anyhow::Result<PathBuf> {
    let base = etcetera::choose_base_strategy()
        .context("there is no home folder to keep an axis's set-up in; name a file")?;
    Ok(base.config_dir().join("leveloff").join("axis.toml"))
}

/// The reports of a device, read on a thread of its own: reading it blocks.
fn listen(device: &Path) -> anyhow::Result<Receiver<AxisReport>> {
    let file = std::fs::File::open(device)
        .map_err(|error| Wrong(format!("{}: {error}", device.display())))?;
    let (sender, receiver) = mpsc::channel();
    std::thread::spawn(move || {
        let mut heard = reports(file).map_while(Result::ok);
        while heard
            .next()
            .is_some_and(|report| sender.send(report).is_ok())
        {}
    });
    Ok(receiver)
}

/// Everything reported for a while.
fn hear(receiver: &Receiver<AxisReport>, time: Duration) -> Vec<AxisReport> {
    let until = Instant::now() + time;
    let next = || receiver.recv_timeout(until.saturating_duration_since(Instant::now()));
    std::iter::from_fn(|| next().ok()).collect()
}

fn find(dir: &Path) -> anyhow::Result<()> {
    let mut devices: Vec<PathBuf> = std::fs::read_dir(dir)
        .into_iter()
        .flatten()
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| {
            let name = path.file_name().and_then(|name| name.to_str());
            let number = name.and_then(|name| name.strip_prefix("js"));
            number.is_some_and(|number| number.parse::<u32>().is_ok())
        })
        .collect();
    devices.sort();
    let mut lines = Vec::new();
    for device in &devices {
        let shown = device.display();
        lines.push(match listen(device) {
            Err(error) => format!("{error}"),
            Ok(receiver) => {
                let heard = hear(&receiver, LISTEN);
                let mut axes: Vec<u8> = heard.iter().map(|report| report.axis).collect();
                axes.sort_unstable();
                axes.dedup();
                let axes: Vec<String> = axes.iter().map(u8::to_string).collect();
                format!("{shown}  {}  axes {}", name(device), axes.join(" "))
            }
        });
    }
    lines.push(match devices.is_empty() {
        true => format!("no joystick or throttle in {}", dir.display()),
        false => "next: leveloff axes calibrate DEVICE".to_string(),
    });
    output::lines(lines)
}

/// What the system calls a device.
fn name(device: &Path) -> String {
    let file = device.file_name().unwrap_or_default();
    let told = Path::new("/sys/class/input").join(file).join("device/name");
    let name = std::fs::read_to_string(told).unwrap_or_default();
    match name.trim() {
        "" => "(no name)".to_string(),
        name => printable(name).to_string(),
    }
}

/// Asks for something and waits for enter; reports are collected meanwhile. The end of input counts as enter.
fn ask(what: &str) -> anyhow::Result<()> {
    output::talk(&format!("{what}, then press enter"));
    std::io::stdin().lock().read_line(&mut String::new())?;
    Ok(())
}

fn calibrate(device: PathBuf, number: Option<u8>, to: Option<PathBuf>) -> anyhow::Result<()> {
    let receiver = listen(&device)?;
    let mut heard = hear(&receiver, LISTEN);
    ask("Move the lever from stop to stop")?;
    heard.extend(hear(&receiver, LISTEN));
    let axis = match number.or_else(|| most_moved(&heard)) {
        Some(axis) => axis,
        None => return wrong(format!("{}: no axis was moved", device.display())),
    };
    let mut stands = |when: &str| {
        ask(when)?;
        heard.extend(hear(&receiver, LISTEN));
        let of_it = heard.iter().rev().find(|report| report.axis == axis);
        of_it.map(|report| report.value).with_context(|| {
            format!(
                "{}: axis {axis} has reported nothing so far",
                device.display()
            )
        })
    };
    let (full, off) = (stands("Set full power")?, stands("Take all power off")?);
    output::talk("Leave it alone for a second");
    let rest = hear(&receiver, REST);
    let values = rest.iter().filter(|report| report.axis == axis);
    let values: Vec<i16> = values.map(|report| report.value).chain([off]).collect();
    let lowest = values.iter().min().copied().unwrap_or(off);
    let highest = values.iter().max().copied().unwrap_or(off);
    let travel = f64::from(off.abs_diff(full)).max(1.0);
    let trembling = 100.0 * f64::from(lowest.abs_diff(highest)) / travel;
    let dead = (OVER_TREMBLING * trembling).max(LEAST_DEAD);
    let axis = Calibration {
        device,
        axis,
        off,
        full,
        dead: (100.0 * dead).round() / 100.0,
    };
    if let Some(fault) = axis.fault() {
        return wrong(format!("not set up: {fault}"));
    }
    let file = match to {
        Some(file) => file,
        None => usual_file()?,
    };
    if let Some(folder) = file.parent() {
        std::fs::create_dir_all(folder).with_context(|| folder.display().to_string())?;
    }
    files::write_whole(&file, toml::to_string(&axis)?.as_bytes())
        .with_context(|| file.display().to_string())?;
    let way = if axis.off > axis.full {
        ", reversed"
    } else {
        ""
    };
    let set_up = format!(
        "axis {} of {}: {} at power off, {} at full{way}, dead zone {} %",
        axis.axis,
        axis.device.display(),
        axis.off,
        axis.full,
        axis.dead
    );
    output::results(|out| {
        writeln!(out, "{set_up}")?;
        writeln!(out, "written to {}; fly with --axis", file.display())
    })
}

/// The axis with the largest range between its lowest and highest value, if any was moved at all.
fn most_moved(heard: &[AxisReport]) -> Option<u8> {
    let way = |axis: u8| {
        let values = || heard.iter().filter(|report| report.axis == axis);
        let lowest = values().map(|report| report.value).min().unwrap_or(0);
        let highest = values().map(|report| report.value).max().unwrap_or(0);
        highest.abs_diff(lowest)
    };
    let axes = heard.iter().map(|report| report.axis);
    axes.filter(|axis| way(*axis) > 0)
        .max_by_key(|axis| (way(*axis), u8::MAX - axis))
}

fn test(file: Option<&Path>) -> anyhow::Result<()> {
    let axis = calibration(file)?;
    output::results(|out| {
        let mut told = Ok(());
        let read = axis.follow(|at| {
            told = writeln!(out, "lever {:>5.1} %", 100.0 * at).and_then(|()| out.flush());
            told.is_ok()
        });
        told.and(read)
    })
}
