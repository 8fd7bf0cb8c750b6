//! Drills: sums that come out as they are printed, ways to answer that are all right at times, and how an answer may be typed.

use crate::sweep::seeds;
use shimwright::practice::drills::{Drill, Wanted, deal};
use shimwright::quantity::{Torque, parse};
use std::collections::HashMap;

/// What a sum comes to that is written with + − · / and brackets, units left out; nothing for words.
fn worth(text: &str) -> Option<f64> {
    fn sum(signs: &mut std::iter::Peekable<std::vec::IntoIter<String>>) -> Option<f64> {
        let mut all = product(signs)?;
        while let Some(sign) = signs.next_if(|sign| sign == "+" || sign == "−") {
            let next = product(signs)?;
            all += if sign == "+" { next } else { -next };
        }
        Some(all)
    }
    fn product(signs: &mut std::iter::Peekable<std::vec::IntoIter<String>>) -> Option<f64> {
        let mut all = one(signs)?;
        while let Some(sign) = signs.next_if(|sign| sign == "·" || sign == "/") {
            let next = one(signs)?;
            all = if sign == "·" { all * next } else { all / next };
        }
        Some(all)
    }
    fn one(signs: &mut std::iter::Peekable<std::vec::IntoIter<String>>) -> Option<f64> {
        let sign = signs.next()?;
        if sign == "(" {
            let inside = sum(signs)?;
            return (signs.next()? == ")").then_some(inside);
        }
        if sign == "−" || sign == "+" {
            let one = one(signs)?;
            return Some(if sign == "−" { -one } else { one });
        }
        sign.parse().ok()
    }
    let mut plain = text.to_string();
    for unit in ["N·m", "kgf·m", "lbf·ft", "lbf·in", "mm", " N"] {
        plain = plain.replace(unit, " ");
    }
    let mut signs = vec![String::new()];
    for c in plain.trim().chars().chain([' ']) {
        match (c, signs.last_mut()) {
            (' ', _) => signs.push(String::new()),
            ('0'..='9' | '.', Some(last)) if last.chars().all(|c| c.is_ascii_digit() || c == '.') => {
                last.push(c)
            }
            (c, _) => signs.extend([c.to_string(), String::new()]),
        }
    }
    signs.retain(|sign| !sign.is_empty());
    let mut signs = signs.into_iter().peekable();
    let worth = sum(&mut signs)?;
    signs.peek().is_none().then_some(worth)
}

/// The longest piece of a text at its end, or at its start, that is a sum.
fn sum_beside(text: &str, at_end: bool) -> Option<(String, f64)> {
    let words: Vec<&str> = text.split(' ').collect();
    let pieces = (0..words.len()).map(|n| match at_end {
        true => words[n..].join(" "),
        false => words[..words.len() - n].join(" "),
    });
    pieces
        .map(|piece| piece.trim_end_matches(['.', ',', ':', ';']).to_string())
        .find_map(|piece| Some((piece.clone(), worth(&piece)?)))
}

#[test]
fn every_sum_of_a_reason_comes_out_as_it_is_printed() {
    assert!((worth("2 · (3.5 N·m + 1.5 N·m) − 4/2").unwrap() - 8.0).abs() < 1e-9);
    let mut seen = 0;
    for (drill, ..) in Drill::ALL {
        for (seed, card) in
            (1..=seeds()).flat_map(|seed| deal(drill, seed).into_iter().map(move |card| (seed, card)))
        {
            for line in &card.reason {
                let parts: Vec<&str> = line.split(" = ").collect();
                for two in parts.windows(2) {
                    let mut left = two[0].to_string();
                    if let Some((before, angle)) = two[0].split_once("cot ") {
                        let degrees: f64 = angle.trim_end_matches('°').parse().unwrap();
                        left = format!("{before}{}", 1.0 / degrees.to_radians().tan());
                    }
                    let (Some((sum, wanted)), Some((result, got))) =
                        (sum_beside(&left, true), sum_beside(two[1], false))
                    else {
                        continue;
                    };
                    // "1 lbf·ft = 1.355818 N·m" is what a unit is worth, and no sum
                    if ["1 lbf·ft", "1 lbf·in", "1 kgf·m"].contains(&sum.as_str()) {
                        let one: Torque = parse(&sum).unwrap();
                        assert!((one.newton_metres() - got).abs() < 1e-6, "{line}");
                        continue;
                    }
                    let decimals = result
                        .split(' ')
                        .next()
                        .and_then(|number| number.split_once('.'))
                        .map_or(0, |(_, behind)| {
                            behind.chars().take_while(char::is_ascii_digit).count()
                        });
                    let half = match drill == Drill::Held && result.contains(" · ") {
                        // a sum on both sides: to the last place of what is put in
                        true => 2e-4,
                        false => 0.5 * 0.1_f64.powi(decimals as i32) + 1e-9,
                    };
                    assert!(
                        (wanted - got).abs() <= half,
                        "{drill:?}, seed {seed}: {sum} is {wanted}, told {result}: {line}"
                    );
                    seen += 1;
                }
            }
        }
    }
    assert!(seen > 500, "{seen}");
}

#[test]
fn no_way_to_answer_is_never_right_and_none_is_nearly_always() {
    for drill in [
        Drill::Looks,
        Drill::Zero,
        Drill::Held,
        Drill::Wrench,
        Drill::Spring,
        Drill::Cautions,
    ] {
        let mut by_prompt: HashMap<(String, Vec<String>), HashMap<String, usize>> = HashMap::new();
        for card in (1..=seeds()).flat_map(|seed| deal(drill, seed)) {
            let Wanted::One { options, right } = &card.wanted else {
                continue;
            };
            let keys = options.iter().map(|option| option.key.clone()).collect();
            let rights = by_prompt.entry((card.prompt.clone(), keys)).or_default();
            *rights.entry(right.clone()).or_default() += 1;
        }
        for ((prompt, keys), rights) in by_prompt {
            let all: usize = rights.values().sum();
            for key in &keys {
                let share = *rights.get(key).unwrap_or(&0) as f64 / all as f64;
                assert!(
                    share > 0.04 && share < 0.7,
                    "{drill:?}: {prompt} {key}: {share:.2} of {all}"
                );
            }
        }
    }
}

#[test]
fn a_slip_of_typing_is_asked_again_and_a_comma_or_a_unit_is_taken() {
    let card = |drill: Drill, topic: &str| {
        (1..50)
            .flat_map(|seed| deal(drill, seed))
            .find(|card| card.topic == topic)
            .unwrap()
    };
    // 1958 for 1.958 mm, and a reading with a place too few
    let thousandth = card(Drill::Read, "vernier");
    let right = thousandth.right().trim_end_matches(" mm").to_string();
    let without_point = right.replace('.', "");
    assert!(
        thousandth.judge(&without_point).unwrap_err().contains("far from"),
        "{thousandth:#?}"
    );
    let short = &right[..right.len() - 1];
    assert!(
        thousandth.judge(short).unwrap_err().contains("to 0.001 mm"),
        "{short}"
    );
    for spelled in [
        right.replace('.', ","),
        format!("{right} mm"),
        format!("{} mm", right.replace('.', ",")),
    ] {
        assert!(thousandth.judge(&spelled).unwrap().right, "{spelled}");
    }
    let shim = card(Drill::Choose, "shim");
    let right = shim.right();
    for spelled in [
        right.replace('.', ","),
        format!("{right} mm"),
        format!("{}mm", right.replace('.', ",")),
    ] {
        assert!(shim.judge(&spelled).unwrap().right, "{spelled}: {shim:#?}");
    }
    assert!(shim.judge("0.01").is_err());
    let faces = card(Drill::Order, "faces");
    assert!(faces.judge(&format!("{}.0", faces.right())).unwrap().right);
    assert!(faces.judge("7.5").is_err() && faces.judge("eight").is_err());
    let dead = card(Drill::Order, "dead face");
    assert!(dead.judge(&dead.right().replace('-', " ")).unwrap().right);
}
