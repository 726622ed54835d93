//! Contrast and colour-vision deficiencies, by published formulas.

use leveloff::tui::theme::{Background, Depth, Role, Theme};
use ratatui::style::Color;
use ratatui::style::Color::{Blue, Green, LightBlue, LightCyan, LightMagenta, LightRed};
use ratatui::style::Color::{LightYellow, Magenta, Red};

type Linear = [f64; 3];

fn linear([red, green, blue]: [u8; 3]) -> Linear {
    [red, green, blue].map(|part| {
        let part = f64::from(part) / 255.0;
        match part <= 0.04045 {
            true => part / 12.92,
            false => ((part + 0.055) / 1.055).powf(2.4),
        }
    })
}

/// W3C, Web Content Accessibility Guidelines 2.2, relative luminance and contrast ratio.
pub fn contrast(a: [u8; 3], b: [u8; 3]) -> f64 {
    let luminance = |colour| {
        let [red, green, blue] = linear(colour);
        0.2126 * red + 0.7152 * green + 0.0722 * blue
    };
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// Machado, Oliveira, Fernandes, "A Physiologically-based Model for Simulation of Color Vision Deficiency" (2009), severity
/// 1.0, on linear RGB: none, protanopia, deuteranopia, tritanopia.
const VISION: [[[f64; 3]; 3]; 4] = [
    [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
    [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
    [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ],
];

fn times(matrix: [[f64; 3]; 3], colour: Linear) -> Linear {
    matrix.map(|row| row.iter().zip(colour).map(|(a, b)| a * b).sum())
}

/// CIE 1976 L*a*b*, from linear sRGB by the matrix of IEC 61966-2-1, D65.
fn lab(colour: Linear) -> [f64; 3] {
    let xyz = times(
        [
            [0.4124, 0.3576, 0.1805],
            [0.2126, 0.7152, 0.0722],
            [0.0193, 0.1192, 0.9505],
        ],
        colour,
    );
    let white = [0.9505, 1.0, 1.0890];
    let [x, y, z] = [0, 1, 2].map(|n| {
        let share = xyz[n] / white[n];
        match share > 216.0 / 24389.0 {
            true => share.cbrt(),
            false => (24389.0 / 27.0 * share + 16.0) / 116.0,
        }
    });
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

/// The distance of two colours for the vision that sees them nearest: CIE 1976 colour difference. 2.3 is just noticeable.
fn apart(a: [u8; 3], b: [u8; 3]) -> f64 {
    let seen = |vision, colour| lab(times(vision, linear(colour)).map(|part| part.clamp(0.0, 1.0)));
    VISION
        .iter()
        .map(|vision| {
            let (a, b) = (seen(*vision, a), seen(*vision, b));
            let squares = (0..3).map(|n| (a[n] - b[n]).powi(2));
            squares.sum::<f64>().sqrt()
        })
        .fold(f64::INFINITY, f64::min)
}

const BLACK: [u8; 3] = [0, 0, 0];
const WHITE: [u8; 3] = [255, 255, 255];
/// Backgrounds of common terminal themes.
const DARK_ONES: [[u8; 3]; 3] = [BLACK, [30, 30, 30], [0, 30, 40]];
const LIGHT_ONES: [[u8; 3]; 2] = [WHITE, [250, 250, 250]];
const LIGHT_INK: [u8; 3] = [220, 220, 220];
const DARK_INK: [u8; 3] = [20, 20, 20];

/// The sixteen of xterm (its resource file `XTerm-col.ad`) and of the VGA adapter.
fn sixteen(colour: Color) -> Option<[[u8; 3]; 2]> {
    Some(match colour {
        Green => [[0, 205, 0], [0, 170, 0]],
        Red => [[205, 0, 0], [170, 0, 0]],
        Blue => [[0, 0, 238], [0, 0, 170]],
        Magenta => [[205, 0, 205], [170, 0, 170]],
        LightRed => [[255, 0, 0], [255, 85, 85]],
        LightYellow => [[255, 255, 0], [255, 255, 85]],
        LightBlue => [[92, 92, 255], [85, 85, 255]],
        LightMagenta => [[255, 0, 255], [255, 85, 255]],
        LightCyan => [[0, 255, 255], [85, 255, 255]],
        _ => return None,
    })
}

/// Red, green and blue of one of xterm's colours from 16 on: a cube of six steps each way, then 24 greys (xterm, `256colres.pl`).
fn rgb(index: u8) -> [u8; 3] {
    const STEPS: [u8; 6] = [0x00, 0x5f, 0x87, 0xaf, 0xd7, 0xff];
    match index.checked_sub(232) {
        Some(grey) => [8 + 10 * grey; 3],
        None => [36, 6, 1].map(|place| STEPS[usize::from((index - 16) / place % 6)]),
    }
}

const ROLES: [Role; 9] = [
    Role::Quiet,
    Role::Echo,
    Role::Band,
    Role::Alternative,
    Role::Engine,
    Role::Ink,
    Role::Strong,
    Role::Warning,
    Role::Marker,
];

fn theme(depth: Depth, background: Background) -> Theme {
    Theme {
        depth,
        background,
        unicode: true,
    }
}

/// Every role that has a colour, with its possible appearances.
fn looks(theme: Theme) -> Vec<(Role, Vec<[u8; 3]>)> {
    let all = ROLES.iter().filter_map(|role| {
        let looks = match theme.style(*role).fg? {
            Color::Rgb(red, green, blue) => vec![[red, green, blue]],
            Color::Indexed(index) => vec![rgb(index)],
            named => sixteen(named).expect("its looks are in the list").to_vec(),
        };
        Some((*role, looks))
    });
    all.collect()
}

#[test]
fn the_formulas_give_what_is_published() {
    // The guidelines' own bounds, and their note that #767676 is the lightest grey for text on white.
    assert_eq!(contrast(BLACK, WHITE), 21.0);
    assert!(contrast([0x76; 3], WHITE) >= 4.5 && contrast([0x77; 3], WHITE) < 4.5);
    // White is L* 100 by definition; #777777 is 50.03 (worked out by hand from the definition).
    assert!((lab(linear(WHITE))[0] - 100.0).abs() < 1e-9);
    assert!((lab(linear([0x77; 3]))[0] - 50.03).abs() < 0.01);
    // Greys look the same in every vision.
    for vision in VISION {
        let seen = times(vision, [0.5; 3]);
        assert!(
            seen.iter().all(|part| (part - 0.5).abs() < 1e-5),
            "{seen:?}"
        );
    }
    assert_eq!(
        [rgb(16), rgb(231), rgb(196), rgb(244)],
        [BLACK, WHITE, [255, 0, 0], [128; 3]]
    );
}

#[test]
fn any_colour_is_that_of_the_256() {
    for background in [Background::Dark, Background::Light, Background::Unknown] {
        let [of_256, of_any] =
            [Depth::Indexed, Depth::True].map(|depth| looks(theme(depth, background)));
        assert_eq!(of_256, of_any);
    }
}

#[test]
fn text_and_marks_can_be_read_on_every_background() {
    for (background, behind) in [
        (Background::Dark, DARK_ONES.to_vec()),
        (Background::Light, LIGHT_ONES.to_vec()),
        (Background::Unknown, vec![BLACK, WHITE]),
    ] {
        for depth in [Depth::Named, Depth::Indexed, Depth::True] {
            // The terminal decides how the sixteen colours look, so they are checked against black and white.
            let behind = match (depth, background) {
                (Depth::Named, Background::Dark) => vec![BLACK],
                (Depth::Named, Background::Light) => vec![WHITE],
                _ => behind.clone(),
            };
            for (role, looks) in looks(theme(depth, background)) {
                let least = if role == Role::Marker { 3.0 } else { 4.5 };
                for (look, behind) in looks
                    .iter()
                    .flat_map(|look| behind.iter().map(move |b| (look, b)))
                {
                    let found = contrast(*look, *behind);
                    assert!(
                        found >= least,
                        "{depth:?} {role:?} {look:?} on {behind:?}: {found}"
                    );
                }
            }
        }
    }
}

#[test]
fn roles_keep_apart_in_every_vision() {
    for (depth, least) in [
        (Depth::Named, 10.0),
        (Depth::Indexed, 20.0),
        (Depth::True, 20.0),
    ] {
        for (background, ink) in [(Background::Dark, LIGHT_INK), (Background::Light, DARK_INK)] {
            let mut looks = looks(theme(depth, background));
            looks.retain(|(role, _)| *role != Role::Warning);
            let palettes = if depth == Depth::Named { 2 } else { 1 };
            looks.push((Role::Ink, vec![ink; palettes]));
            for n in 0..palettes {
                for (at, (role, a)) in looks.iter().enumerate() {
                    for (other, b) in &looks[..at] {
                        let found = apart(a[n], b[n]);
                        assert!(
                            found >= least,
                            "{depth:?} {background:?} {role:?} {other:?}: {found}"
                        );
                    }
                }
            }
        }
    }
}

#[test]
fn the_marker_and_the_warning_are_never_the_ink_where_there_are_colours_to_trust() {
    for background in [Background::Dark, Background::Light, Background::Unknown] {
        for depth in [Depth::Named, Depth::Indexed, Depth::True] {
            let theme = theme(depth, background);
            assert!(theme.style(Role::Marker).fg.is_some());
            // Of the sixteen named colours none is sure to be read on every background.
            let is_safe = depth != Depth::Named || background != Background::Unknown;
            assert_eq!(theme.style(Role::Warning).fg.is_some(), is_safe);
        }
        let mono = theme(Depth::Mono, background);
        assert!(ROLES.iter().all(|role| mono.style(*role).fg.is_none()));
    }
}

#[test]
fn the_environment_says_how_many_colours_there_are() {
    let depth = |set: &[(&str, &str)]| {
        let get = |name: &str| {
            let found = set.iter().find(|(other, _)| *other == name);
            found.map(|(_, value)| value.to_string())
        };
        Theme::detect(get).depth
    };
    assert_eq!(depth(&[("TERM", "xterm")]), Depth::Named);
    assert_eq!(depth(&[("TERM", "tmux-256color")]), Depth::Indexed);
    assert_eq!(
        depth(&[("TERM", "xterm-256color"), ("COLORTERM", "truecolor")]),
        Depth::True
    );
    assert_eq!(depth(&[("TERM", "xterm-direct")]), Depth::True);
    assert_eq!(
        depth(&[("TERM", "xterm-256color"), ("NO_COLOR", "1")]),
        Depth::Mono
    );
    assert_eq!(depth(&[("TERM", "xterm"), ("NO_COLOR", "")]), Depth::Named);
}

#[test]
fn a_background_is_light_where_black_reads_better() {
    let of = |colour: [u8; 3]| Background::of(colour.map(|part| f64::from(part) / 255.0));
    for dark in DARK_ONES {
        assert_eq!(of(dark), Background::Dark);
    }
    for light in LIGHT_ONES {
        assert_eq!(of(light), Background::Light);
    }
    for grey in 0..=255 {
        let black_reads_better = contrast([grey; 3], BLACK) > contrast([grey; 3], WHITE);
        assert_eq!(
            of([grey; 3]) == Background::Light,
            black_reads_better,
            "{grey}"
        );
    }
}
