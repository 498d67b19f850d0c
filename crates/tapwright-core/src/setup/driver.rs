//! What is typed about speakers: how they are wired, and what they are.

use serde::{Deserialize, Serialize};
use tapwright_units::Unit;

use super::row::{Fold, Reads, Row};

texts! {
    /// One speaker hookup.
    HookupEntry HookupText {
        /// What you call it.
        Name: name {
            example: "Pair",
            label: "Name of hookup {n}",
            placeholder: "Hookup {n}",
        }
        /// The speakers: in parallel as `8//8`, in series as `8+8`, with brackets.
        Speakers: speakers {
            example: "8//8",
            label: "Speakers",
            placeholder: "8//8",
            empty: "One speaker as 8, in parallel as 8//8, in series as 8+8.",
        }
        /// Power rating of the speakers in watts, one for all or one each.
        Rating: rating {
            example: "30, or 30, 15",
            label: "Power rating",
            placeholder: "30",
        }
    }
}

texts! {
    /// One kind of speaker as it is: what hookups call it, and what is known of it.
    DriverEntry DriverText {
        /// What hookups call it: a name, or the ohms that they write for it.
        Called: called {
            example: "A, or 15",
            label: "Name in hookups",
            empty: "A letter of yours, or the ohms that hookups write for it.",
            place: (Fold::Driver, 1),
        }
        /// Its rated ohms, where the name is no number.
        Rated: rated {
            noun: "a speaker’s rated impedance",
            reads: Reads::Number(Unit::Ohm, 0.5, 2_000.0),
            example: "8",
            label: "Rated ohms",
            place: (Fold::Driver, 1),
        }
        /// Its coil by ohmmeter, Ω.
        Coil: coil {
            noun: "a coil’s resistance",
            reads: Reads::Number(Unit::Ohm, 0.3, 2_000.0),
            example: "6.4",
            label: "Coil by ohmmeter",
            place: (Fold::Driver, 1),
        }
        /// Its size: `8`, `10`, `12`, `15` inches or `oval`.
        Size: size {
            reads: Reads::Words(
                &[
                    ("", "not known"),
                    ("8", "8 in"),
                    ("10", "10 in"),
                    ("12", "12 in"),
                    ("15", "15 in"),
                    ("oval", "elliptical"),
                ],
                "",
            ),
            example: "12",
            label: "Size",
            place: (Fold::Driver, 1),
        }
        /// Resonance in free air, f_s.
        Resonance: resonance {
            noun: "a resonance",
            reads: Reads::Number(Unit::Hertz, 5.0, 5_000.0),
            example: "75",
            label: "f_s",
            placeholder: "75 Hz",
            place: (Fold::ThieleSmall, 1),
        }
        /// Mechanical Q at resonance, Q_ms.
        MechanicalQ: mechanical_q {
            noun: "a Q",
            reads: Reads::Number(Unit::One, 0.01, 200.0),
            example: "0.9",
            label: "Q_ms",
            placeholder: "6",
            place: (Fold::ThieleSmall, 1),
        }
        /// Electrical Q at resonance, Q_es.
        ElectricalQ: electrical_q {
            noun: "a Q",
            reads: Reads::Number(Unit::One, 0.01, 200.0),
            example: "0.9",
            label: "Q_es",
            place: (Fold::ThieleSmall, 1),
        }
        /// Inductance of the coil, L_e.
        Inductance: inductance {
            noun: "a coil’s inductance",
            reads: Reads::Number(Unit::Henry, 1e-6, 0.1),
            example: "0.5 mH",
            label: "L_e",
            place: (Fold::ThieleSmall, 1),
        }
        /// Volume of air as stiff as the suspension, V_as, in litres.
        Vas: vas {
            noun: "a volume",
            reads: Reads::Number(Unit::Litre, 0.05, 20_000.0),
            example: "60",
            label: "V_as, litres",
            place: (Fold::ThieleSmall, 1),
        }
        /// Volume of the closed box in litres: by default free air, or an open back.
        ClosedBox: closed_box {
            noun: "a volume",
            reads: Reads::Number(Unit::Litre, 0.05, 20_000.0),
            example: "60",
            label: "Closed box, litres",
            placeholder: "40",
            place: (Fold::ThieleSmall, 1),
        }
        /// Its measured curve: hertz, ohms and degrees of each point.
        Curve: curve {
            example: "20 7.1 12; 80 30.5 -3",
            label: "Hz, ohms, degrees; next point",
            placeholder: "20 7.1 12; 80 30 -3",
            place: (Fold::Curve, 1),
        }
        /// Where the curve is from, and what was thinned.
        From: from {
            example: "bench, closed back",
            label: "Where it is from",
            place: (Fold::Curve, 2),
        }
    }
}
