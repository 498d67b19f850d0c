//! How a connection is wired: every lead of the transformer, where it goes, and what swings on
//! those that go nowhere.

use serde::Serialize;

use crate::judged::Judged;
use crate::solved::Solved;
use tapwright_iron::measured::findings::Findings;
use tapwright_iron::measured::names;
use tapwright_iron::transformer::{Secondary, TapPair, Transformer};
use tapwright_tube::Topology;
use tapwright_units::Volts;

/// A lead of the transformer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Terminal {
    /// The stamped primary lead at a place. In push-pull it is a pair of leads with one rating,
    /// one for each plate.
    Lead(usize),
    /// The lead of the primary without a rating, by its name where one was typed: the centre
    /// tap in push-pull, else the other end.
    SupplyLead(Option<String>),
    /// The stamped tap at a place.
    Tap(usize),
    /// The common lead of the secondary, by its name where one was typed.
    Common(Option<String>),
    /// A lead of a measured transformer, by its name.
    Named(String),
}

/// A lead that goes nowhere.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Insulated {
    /// The lead.
    pub terminal: Terminal,
    /// The most that swings on it at full drive, V peak; `None` where no tube is known.
    pub swing: Option<Volts>,
    /// The same divided by the peak swing across the part of the winding in use.
    pub ratio: f64,
    /// Whether it stands at B+ besides.
    pub on_supply: bool,
}

/// Where every lead goes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wiring {
    /// To the plates: one lead, or two. A stamped push-pull rating stands for both.
    pub plates: Vec<Terminal>,
    /// To B+. `None` where push-pull finds no centre to feed.
    pub supply: Option<Terminal>,
    /// Whether plate and B+ may change places: a measured winding has no marked end.
    pub either_way: bool,
    /// To the speakers' live side.
    pub speaker: Terminal,
    /// To the speakers' other side and to ground.
    pub ground: Terminal,
    /// Leads that go nowhere, the largest swing first.
    pub insulated: Vec<Insulated>,
}

impl Wiring {
    /// How a connection is wired; `None` without a transformer.
    pub(crate) fn new(solved: &Solved, judged: &Judged) -> Option<Self> {
        let transformer = solved.transformer.as_ref()?;
        let swings = Swings::of(judged);
        let mut wiring = match &solved.measured {
            Some(findings) => measured(solved.topology, findings, judged, &swings)?,
            None => stamped(solved, transformer, judged, &swings)?,
        };
        (wiring.insulated).sort_by(|a, b| {
            let first_supply = b.on_supply.cmp(&a.on_supply);
            first_supply.then(b.ratio.total_cmp(&a.ratio))
        });
        Some(wiring)
    }
}

/// Peak volts at full drive across the parts of the windings in use: `√(2 P R)`.
struct Swings {
    primary: Option<f64>,
    secondary: Option<f64>,
}

impl Swings {
    fn of(judged: &Judged) -> Self {
        let across = |watts: f64, ohms: f64| (2.0 * watts * ohms).sqrt();
        let output = judged.output.as_ref();
        Self {
            primary: output.map(|output| across(output.into_load.0, output.load.0)),
            secondary: output.map(|output| across(output.watts.0, judged.connection.impedance.0)),
        }
    }

    fn on_primary(&self, terminal: Terminal, ratio: f64) -> Insulated {
        Insulated {
            terminal,
            swing: self.primary.map(|volts| Volts(volts * ratio)),
            ratio,
            on_supply: true,
        }
    }

    fn on_secondary(&self, terminal: Terminal, ratio: f64) -> Insulated {
        Insulated {
            terminal,
            swing: self.secondary.map(|volts| Volts(volts * ratio)),
            ratio,
            on_supply: false,
        }
    }
}

/// A transformer with ratings. Turns go with their roots.
fn stamped(
    solved: &Solved,
    transformer: &Transformer,
    judged: &Judged,
    swings: &Swings,
) -> Option<Wiring> {
    let choice = judged.connection.choice;
    let used = transformer.leads.get(choice.lead)?.rated.0;
    let is_pair = solved.topology == Topology::PushPull;
    let end = Terminal::SupplyLead(solved.ends.supply.clone());
    let (plates, supply) = match (is_pair, transformer.line) {
        // The whole winding lies between the lead and the common one; the plates take both.
        (true, Some(_)) => (
            vec![Terminal::Lead(choice.lead), end],
            transformer.middle(choice.lead).map(Terminal::Lead),
        ),
        _ => (vec![Terminal::Lead(choice.lead)], Some(end)),
    };
    let swing = |rated: f64| {
        let turns = (rated / used).sqrt();
        match (is_pair, transformer.line) {
            (false, _) => turns,
            // Half of a pair of leads stands on either side of B+.
            (true, None) => 0.5 * turns,
            // Power taps count from one end, and B+ is in the middle.
            (true, Some(_)) => (turns - 0.5).abs(),
        }
    };
    let goes_somewhere =
        |terminal: &Terminal| plates.contains(terminal) || supply.as_ref() == Some(terminal);
    let mut insulated: Vec<Insulated> = (transformer.leads.iter().enumerate())
        .map(|(at, lead)| (Terminal::Lead(at), lead.rated.0))
        .filter(|(terminal, _)| !goes_somewhere(terminal))
        .map(|(terminal, rated)| swings.on_primary(terminal, swing(rated)))
        .collect();
    let common = Terminal::Common(solved.ends.common.clone());
    let (live, ground) = match choice.secondary {
        Secondary::Tap(tap) => (Terminal::Tap(tap), common.clone()),
        Secondary::Pair(pair) => {
            let (low, high) = by_turns(transformer, pair);
            (Terminal::Tap(high), Terminal::Tap(low))
        }
    };
    let turns = |terminal: &Terminal| match terminal {
        Terminal::Tap(tap) => transformer
            .taps
            .get(*tap)
            .map_or(0.0, |tap| tap.rated.0.sqrt()),
        _ => 0.0,
    };
    let in_use = turns(&live) - turns(&ground);
    let taps = (0..transformer.taps.len())
        .map(Terminal::Tap)
        .chain([common]);
    let idle = taps.filter(|terminal| *terminal != live && *terminal != ground);
    insulated.extend(idle.map(|terminal| {
        let ratio = ((turns(&terminal) - turns(&ground)) / in_use).abs();
        swings.on_secondary(terminal, ratio)
    }));
    Some(Wiring {
        plates,
        supply,
        either_way: false,
        speaker: live,
        ground,
        insulated,
    })
}

/// The two taps of a pair, the one with fewer turns first.
fn by_turns(transformer: &Transformer, pair: TapPair) -> (usize, usize) {
    let (a, b) = pair.taps();
    let rated = |at: usize| transformer.taps.get(at).map_or(0.0, |tap| tap.rated.0);
    if rated(a) <= rated(b) { (a, b) } else { (b, a) }
}

/// A transformer that was measured lead by lead.
fn measured(
    topology: Topology,
    findings: &Findings,
    judged: &Judged,
    swings: &Swings,
) -> Option<Wiring> {
    let made = findings.transformer.as_ref()?;
    let choice = judged.connection.choice;
    let named = |lead| Terminal::Named(names::lead_name(&findings.leads, lead).to_owned());
    let (first, last) = made.leads.get(choice.lead)?.pair;
    let (plates, supply) = match topology {
        Topology::PushPull => (
            vec![named(first), named(last)],
            findings.centre_tap.map(named),
        ),
        Topology::SingleEnded => (vec![named(last)], Some(named(first))),
    };
    let (ground, live) = made.secondary_pair(choice.secondary)?;
    let mut insulated: Vec<Insulated> = (findings.unused(choice.lead).into_iter())
        .map(|(name, ratio)| swings.on_primary(Terminal::Named(name), ratio))
        .collect();
    let (_, in_use) = made.turns(choice.lead, choice.secondary)?;
    let turns_at = |lead| match made.taps.iter().find(|tap| tap.lead == lead) {
        Some(tap) => tap.turns,
        None => 0.0,
    };
    let leads = made.taps.iter().map(|tap| tap.lead).chain([made.common]);
    let idle = leads.filter(|lead| *lead != live && *lead != ground);
    insulated.extend(idle.map(|lead| {
        let ratio = (turns_at(lead) - turns_at(ground)).abs() / in_use;
        swings.on_secondary(named(lead), ratio)
    }));
    insulated.extend(
        findings
            .unused_windings(choice.lead)
            .into_iter()
            .map(|(ends, ratio)| Insulated {
                on_supply: false,
                ..swings.on_primary(Terminal::Named(ends), ratio.unwrap_or(1.0))
            }),
    );
    Some(Wiring {
        plates,
        supply,
        either_way: topology == Topology::SingleEnded,
        speaker: named(live),
        ground: named(ground),
        insulated,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{link, solve};

    fn wiring(text: &str) -> Wiring {
        let report = solve(&link::parse(text).setup);
        assert!(report.problems.is_empty(), "{text}: {:?}", report.problems);
        Wiring::new(&report.solved, report.solved.followed().expect("followed")).expect("wired")
    }

    /// Turns go with the root of the rating, volts with the turns: on a 10 kΩ lead beside the
    /// 8 kΩ one √(10/8) = 1.118 of its swing; in push-pull half of that about B+. Exact
    /// arithmetic.
    #[test]
    fn a_stamped_transformer_has_its_ends_in_the_wiring() {
        let text = "primary=brown%208k,%20blue%2010k,%20red%20B%2B\
            &taps=black%20common,%20green%208,%20yellow%2016&hookup=8&tube=6V6GT&supply=285";
        let single = wiring(&format!("stage=single-ended&target=8k&{text}"));
        assert_eq!(single.plates, [Terminal::Lead(0)]);
        assert_eq!(
            single.supply,
            Some(Terminal::SupplyLead(Some("red".into())))
        );
        assert_eq!(single.speaker, Terminal::Tap(0));
        assert_eq!(single.ground, Terminal::Common(Some("black".into())));
        let terminals: Vec<_> = single.insulated.iter().map(|one| &one.terminal).collect();
        assert_eq!(terminals, [&Terminal::Lead(1), &Terminal::Tap(1)]);
        assert!((single.insulated[0].ratio - 1.25_f64.sqrt()).abs() < 1e-9);
        assert!((single.insulated[1].ratio - 2.0_f64.sqrt()).abs() < 1e-9);
        let pair = wiring(&format!("stage=push-pull&target=8k&{text}"));
        assert!((pair.insulated[0].ratio - 0.5 * 1.25_f64.sqrt()).abs() < 1e-9);
    }

    /// Between the 4 and the 16 Ω tap lie as many turns as below 4 Ω: the common lead swings as
    /// much as the speaker, the other way. Exact arithmetic.
    #[test]
    fn with_a_tap_pair_the_common_lead_is_insulated() {
        let pair = wiring("primary=8k&taps=4,%2016&hookup=4&target=8k&selected=1,1-2,1");
        assert_eq!(
            (&pair.speaker, &pair.ground),
            (&Terminal::Tap(1), &Terminal::Tap(0))
        );
        assert_eq!(pair.insulated[0].terminal, Terminal::Common(None));
        assert!((pair.insulated[0].ratio - 1.0).abs() < 1e-9);
    }

    /// A line transformer in push-pull takes both ends of the winding, and B+ the tap of four
    /// times the watts.
    #[test]
    fn a_line_transformer_in_push_pull_is_fed_in_the_middle() {
        let line = wiring("stage=push-pull&marking=line&power=2.5,%2010&taps=8&hookup=8&target=4k");
        assert_eq!(line.plates, [Terminal::Lead(0), Terminal::SupplyLead(None)]);
        assert_eq!(line.supply, Some(Terminal::Lead(1)));
        assert_eq!(line.insulated, []);
    }
}
