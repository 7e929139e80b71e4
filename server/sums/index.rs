//! The list of all sums: grouped by what one is trying to do, and found by typing a few words.

use super::aims::Aim;
use super::daily::SUMS;
use super::scales;
use crate::web::sheet;
use stillair_calc::{Calculation, catalogue};

/// One line of the list.
#[derive(Clone, Debug)]
pub struct Line {
    /// Where it leads.
    pub href: String,
    /// Its heading.
    pub title: String,
    /// What it tells.
    pub about: String,
    /// One of those that crews do daily.
    pub daily: bool,
}

/// What stands under one aim.
pub struct Group {
    /// What one is trying to do.
    pub aim: &'static str,
    /// For the link from the top.
    pub id: String,
    /// The daily ones.
    pub daily: Vec<Line>,
    /// All the others.
    pub others: Vec<Line>,
}

/// Heading of a calculation's page, from its name.
pub fn title(calculation: &Calculation) -> String {
    let words: Vec<_> = calculation.name.split('-').map(spelt).collect();
    let text = words.join(" ");
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// Parts of names that are no words, as people write them.
fn spelt(word: &str) -> &str {
    match word {
        "nd" => "ND",
        "led" => "LED",
        "cct" => "colour temperature",
        "duv" => "Duv",
        "ev" => "EV",
        "nec" => "(AWG)",
        "iec" => "(mm²)",
        "pwm" => "switched light",
        "btu" => "(BTU)",
        "srgb" => "sRGB",
        "xyz" => "XYZ",
        "xy" => "x, y",
        "spd" => "spectrum",
        "uv" => "u′",
        "prime" => "v′",
        "ciede2000" => "CIEDE2000",
        "twa" => "eight-hour average",
        "kd" => "weakening Kd",
        "ppm" => "ppm",
        "mg" => "mg",
        "m3" => "m³",
        "1a" => "1A",
        other => other,
    }
}

/// Address of a calculation's page.
pub fn href(calculation: &Calculation) -> String {
    format!(
        "{}/{}/{}",
        sheet::SUMS,
        calculation.family,
        calculation.name
    )
}

fn plain_line(calculation: &Calculation) -> Line {
    Line {
        href: href(calculation),
        title: title(calculation),
        about: calculation.summary.to_owned(),
        daily: false,
    }
}

/// Everything, by aim.
pub fn groups() -> Vec<Group> {
    Aim::ALL
        .iter()
        .map(|aim| Group {
            aim: aim.words(),
            id: format!("{aim:?}").to_lowercase(),
            daily: SUMS
                .iter()
                .filter(|sum| sum.aim == *aim)
                .map(|sum| Line {
                    href: format!("{}/{}", sheet::SUMS, sum.slug),
                    title: sum.title.into(),
                    about: sum.about.into(),
                    daily: true,
                })
                .collect(),
            others: catalogue()
                .iter()
                .filter(|calculation| Aim::of_family(calculation.family) == *aim)
                .map(plain_line)
                .collect(),
        })
        .filter(|group| !(group.daily.is_empty() && group.others.is_empty()))
        .collect()
}

/// The sums that all the words are found in, best first. A word in a heading weighs more than one in the text.
pub fn find(typed: &str) -> Vec<Line> {
    let words: Vec<String> = typed
        .to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect();
    let mut found: Vec<(u32, Line)> = Vec::new();
    let mut weigh = |line: Line, more: &str| {
        // what crews do daily comes before what is only named alike
        let bonus = if line.daily {
            4 * u32::try_from(words.len()).unwrap_or(0) + 1
        } else {
            0
        };
        let (title, about) = (line.title.to_lowercase(), line.about.to_lowercase());
        let more = more.to_lowercase();
        let weight = |word: &String| {
            if starts_a_word(&title, word) {
                8
            } else if starts_a_word(&about, word) || starts_a_word(&more, word) {
                4
            } else {
                let texts = [&title, &about, &more];
                u32::from(texts.iter().any(|text| text.contains(word.as_str())))
            }
        };
        let weights: Vec<u32> = words.iter().map(weight).collect();
        if !weights.is_empty() && weights.iter().all(|weight| *weight > 0) {
            found.push((weights.iter().sum::<u32>() + bonus, line));
        }
    };
    let scales = Line {
        href: scales::HREF.into(),
        title: scales::TITLE.into(),
        about: scales::ABOUT.into(),
        daily: true,
    };
    weigh(scales, "candidate compare side by side denominator");
    for sum in SUMS {
        let line = Line {
            href: format!("{}/{}", sheet::SUMS, sum.slug),
            title: sum.title.into(),
            about: sum.about.into(),
            daily: true,
        };
        weigh(line, &format!("{} {}", sum.words, sum.aim.words()));
    }
    for calculation in catalogue() {
        let inputs = calculation
            .inputs
            .iter()
            .map(|input| stillair_calc::input::label(input.name));
        let outputs = calculation
            .outputs
            .iter()
            .map(|output| stillair_calc::input::label(output.name));
        let names = inputs.chain(outputs).collect::<Vec<_>>().join(" ");
        weigh(
            plain_line(calculation),
            &format!("{names} {} {}", calculation.family, calculation.about),
        );
    }
    // a stable sort keeps the page's own order among equals
    found.sort_by_key(|(weight, _)| std::cmp::Reverse(*weight));
    found.into_iter().map(|(_, line)| line).collect()
}

fn starts_a_word(text: &str, word: &str) -> bool {
    text.match_indices(word).any(|(at, _)| {
        text[..at]
            .chars()
            .next_back()
            .is_none_or(|before| !before.is_alphanumeric())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_few_words_find_the_sum_one_means() {
        for (typed, first) in [
            ("depth of field", "/sums/sharp-from-the-mark"),
            ("flicker", "/sums/flicker"),
            ("plaster water", "/sums/plaster-mix"),
            ("glycol", "/sums/haze"),
            ("knot", "/sums/line-load"),
            ("knot efficiency", "/sums/suspension/knot-efficiency"),
            ("choose scale", "/sums/scales"),
            ("pendulum tension", "/sums/suspension/pendulum-tension"),
        ] {
            let found = find(typed);
            assert_eq!(
                found.first().map(|line| line.href.as_str()),
                Some(first),
                "{typed}"
            );
        }
        assert!(find("zzz").is_empty());
        assert!(find(" ").is_empty());
    }

    #[test]
    fn every_calculation_stands_under_one_aim() {
        let count: usize = groups().iter().map(|group| group.others.len()).sum();
        assert_eq!(count, catalogue().len());
        let daily: usize = groups().iter().map(|group| group.daily.len()).sum();
        assert_eq!(daily, SUMS.len());
    }
}
