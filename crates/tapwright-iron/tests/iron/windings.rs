//! The winding finder on random transformers. Invented data: up to four windings, the
//! primary of 50 to 1,500 Ω, the others far below, up to three taps on each, at least a
//! fourteenth of the winding apart, the outer turns longer; read by a meter that scatters
//! by 1 %.

use crate::bench_noise::Noise;
use tapwright_iron::measured::Lead;
use tapwright_iron::measured::windings::{Found, Question, Resistance, find};
use tapwright_units::uncertainty::Uncertain;

const SCATTER: f64 = 0.01;

/// What a hand meter states. From one reading to the next a third of it is left here: the errors of
/// gain and zero are common to them.
const STATED: f64 = 3.0 * SCATTER;

/// A winding: its leads from end to end, with the resistance up to each.
type KnownWinding = Vec<(Lead, f64)>;

fn transformer(noise: &mut Noise) -> (usize, Vec<KnownWinding>) {
    let ohms: Vec<f64> = (0..noise.count(2, 4))
        .map(|at| {
            if at == 0 {
                noise.decade(50.0, 1_500.0)
            } else {
                noise.decade(0.2, 15.0)
            }
        })
        .collect();
    let shapes: Vec<Vec<f64>> = ohms.iter().map(|ohms| along(noise, *ohms)).collect();
    let mut names: Vec<Lead> = (0..shapes.iter().map(Vec::len).sum()).collect();
    noise.shuffle(&mut names);
    let mut names = names.into_iter();
    let windings = shapes
        .into_iter()
        .map(|shape| names.by_ref().zip(shape).collect::<Vec<_>>());
    let windings: Vec<KnownWinding> = (ohms.iter().zip(windings))
        .map(|(_, winding)| winding)
        .collect();
    (windings.iter().map(Vec::len).sum(), windings)
}

/// Resistance at each lead of a winding, from its start.
fn along(noise: &mut Noise, ohms: f64) -> Vec<f64> {
    let centred = noise.chance(0.4);
    loop {
        let mut turns: Vec<f64> = (0..noise.count(0, 3))
            .map(|_| noise.between(0.0, 1.0))
            .collect();
        if centred {
            turns.push(0.5);
        }
        turns.extend([0.0, 1.0]);
        turns.sort_by(f64::total_cmp);
        if turns.windows(2).all(|pair| pair[1] - pair[0] > 1.0 / 14.0) {
            let longer = noise.between(0.0, 0.2);
            return (turns.iter())
                .map(|t| ohms * t * (1.0 + longer * t) / (1.0 + longer))
                .collect();
        }
    }
}

fn place(windings: &[KnownWinding], lead: Lead) -> (usize, f64) {
    let mut all = windings.iter().enumerate();
    all.find_map(|(at, winding)| {
        let found = winding.iter().find(|(other, _)| *other == lead)?;
        Some((at, found.1))
    })
    .expect("a lead of the transformer")
}

/// What the meter shows between two leads.
fn read(
    noise: &mut Noise,
    windings: &[KnownWinding],
    pair: (Lead, Lead),
    stated: f64,
) -> Resistance {
    let (a, b) = (place(windings, pair.0), place(windings, pair.1));
    let ohms = (a.0 == b.0).then(|| {
        let value = (a.1 - b.1).abs() * (1.0 + SCATTER * noise.normal());
        Uncertain {
            value,
            uncertainty: stated * value,
        }
    });
    Resistance { pair, ohms }
}

fn pairs(leads: usize) -> Vec<(Lead, Lead)> {
    (0..leads)
        .flat_map(|a| (a + 1..leads).map(move |b| (a, b)))
        .collect()
}

fn same_order(a: &[Lead], b: &[Lead]) -> bool {
    a == b || a.iter().rev().eq(b)
}

#[test]
fn complete_readings_of_a_thousand_transformers() {
    let mut noise = Noise(1);
    for trial in 0..1_000 {
        let (leads, windings) = transformer(&mut noise);
        let readings: Vec<Resistance> = (pairs(leads).into_iter())
            .map(|pair| read(&mut noise, &windings, pair, SCATTER))
            .collect();
        let found = find(leads, &readings, &[]);
        assert_eq!(found.windings.len(), windings.len(), "{trial}: {found:?}");
        assert!(found.conflicts.is_empty(), "{trial}: {found:?}");
        assert!(found.questions.is_empty(), "{trial}: {found:?}");
        for winding in &windings {
            let order: Vec<Lead> = winding.iter().map(|(lead, _)| *lead).collect();
            let one = &found.windings[found.winding_of(order[0]).expect("found")];
            assert!(
                same_order(&one.leads, &order),
                "{trial}: {winding:?} {one:?}"
            );
            assert!(one.order_known && one.ends_known && one.closed, "{trial}");
            // Where the truth has a tap within 5 % of the middle, and no second one near it.
            let whole = winding.last().expect("an end").1;
            let mut off: Vec<(f64, Lead)> = (winding[1..winding.len() - 1].iter())
                .map(|(lead, ohms)| ((2.0 * ohms / whole - 1.0).abs(), *lead))
                .collect();
            off.sort_by(|a, b| a.0.total_cmp(&b.0));
            let tap = one.centre_tap.map(|tap| tap.lead);
            match off[..] {
                [(first, lead), ref rest @ ..] if first < 0.1 => {
                    if rest.first().is_none_or(|(second, _)| second - first > 0.05) {
                        assert_eq!(tap, Some(lead), "{trial}: {winding:?}");
                    }
                }
                [(first, _), ..] if first < 0.2 => {}
                _ => assert_eq!(tap, None, "{trial}: {winding:?}"),
            }
        }
        // The primary is the one of most resistance.
        let primary: Vec<Lead> = windings[0].iter().map(|(lead, _)| *lead).collect();
        assert!(same_order(&found.windings[0].leads, &primary), "{trial}");
        assert!(found.primary_times.expect("two windings") > 1.0);
    }
}

/// Everything that is said without reserve is true.
fn nothing_wrong_is_said(found: &Found, windings: &[KnownWinding], trial: usize) {
    for one in &found.windings {
        let home = place(windings, one.leads[0]).0;
        let truth: Vec<Lead> = windings[home].iter().map(|(lead, _)| *lead).collect();
        for lead in &one.leads {
            assert!(
                truth.contains(lead),
                "{trial}: {lead} is on another winding"
            );
        }
        if one.closed {
            assert_eq!(one.leads.len(), truth.len(), "{trial}: a lead is missing");
        }
        let known: Vec<Lead> = (truth.iter().copied())
            .filter(|lead| one.leads.contains(lead))
            .collect();
        if one.order_known {
            assert!(same_order(&one.leads, &known), "{trial}: {one:?} {known:?}");
        }
        if one.ends_known {
            let ends = [one.leads[0], *one.leads.last().expect("an end")];
            assert!(
                ends.contains(&known[0]) && ends.contains(known.last().expect("an end")),
                "{trial}: {one:?} {known:?}"
            );
        }
    }
    let done = (found.windings.iter()).all(|one| one.closed && one.order_known);
    assert_eq!(found.questions.is_empty(), done, "{trial}: {found:?}");
}

#[test]
fn incomplete_readings_are_never_wrong_without_saying_so() {
    let mut noise = Noise(2);
    let (mut settled, mut unsure) = (0, 0);
    for trial in 0..3_000 {
        let (leads, windings) = transformer(&mut noise);
        let part = noise.between(0.1, 0.95);
        let readings: Vec<Resistance> = (pairs(leads).into_iter())
            .filter(|_| noise.chance(part))
            .collect::<Vec<_>>()
            .into_iter()
            .map(|pair| read(&mut noise, &windings, pair, STATED))
            .collect();
        let found = find(leads, &readings, &[]);
        assert!(found.conflicts.is_empty(), "{trial}: {found:?}");
        nothing_wrong_is_said(&found, &windings, trial);
        if found.questions.is_empty() {
            settled += 1;
        } else {
            unsure += 1;
        }
    }
    assert!(settled > 100 && unsure > 1_000, "{settled} {unsure}");
}

/// Whoever only follows the questions gets there, with fewer readings than there are pairs,
/// and is told nothing wrong on the way.
#[test]
fn the_questions_lead_to_the_answer() {
    let mut noise = Noise(3);
    let (mut asked, mut all) = (0, 0);
    for trial in 0..300 {
        let (leads, windings) = transformer(&mut noise);
        let mut readings: Vec<Resistance> = Vec::new();
        let found = loop {
            let found = find(leads, &readings, &[]);
            nothing_wrong_is_said(&found, &windings, trial);
            let Some(question) = found.questions.first().copied() else {
                break found;
            };
            assert!(
                !matches!(question, Question::Volts(_)),
                "{trial}: {found:?}"
            );
            readings.push(read(&mut noise, &windings, question.pair(), STATED));
        };
        asked += readings.len();
        all += pairs(leads).len();
        assert_eq!(found.windings.len(), windings.len(), "{trial}");
    }
    assert!(asked * 10 < all * 9, "{asked} of {all}");
}

/// One reading that is far off is noticed wherever the others can contradict it.
#[test]
fn a_wrong_reading_is_pointed_at() {
    let mut noise = Noise(4);
    let (mut noticed, mut named, mut able) = (0, 0, 0);
    for trial in 0..500 {
        let (leads, windings) = transformer(&mut noise);
        let mut readings: Vec<Resistance> = (pairs(leads).into_iter())
            .map(|pair| read(&mut noise, &windings, pair, SCATTER))
            .collect();
        let victims: Vec<usize> = (0..readings.len())
            .filter(|at| {
                let home = place(&windings, readings[*at].pair.0).0;
                readings[*at].ohms.is_some() && windings[home].len() > 3
            })
            .collect();
        if victims.is_empty() {
            continue;
        }
        let victim = victims[noise.count(0, victims.len() - 1)];
        if let Some(ohms) = &mut readings[victim].ohms {
            ohms.value *= 1.5;
            ohms.uncertainty *= 1.5;
        }
        able += 1;
        let found = find(leads, &readings, &[]);
        let text = format!("{:?}", found.conflicts);
        noticed += usize::from(!found.conflicts.is_empty());
        named += usize::from(found.conflicts.iter().any(|c| {
            matches!(c, tapwright_iron::measured::windings::Conflict::DoNotAddUp(places)
                if places.contains(&victim))
        }));
        assert!(
            found.conflicts.is_empty() || text.contains(&victim.to_string()),
            "{trial}: {text} without {victim}"
        );
    }
    assert!(able > 200, "{able}");
    assert!(
        named * 100 >= able * 97,
        "{named} of {able} ({noticed} noticed)"
    );
}
