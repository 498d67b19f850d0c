//! stub
use crate::setup::Topology;
use crate::units::*;
#[derive(PartialEq)]
pub enum Provenance {
    Read,
    FromMemory,
}
pub struct Example {
    pub topology: Topology,
    pub plate: Volts,
    pub load: Ohms,
    pub power: Option<Watts>,
    pub thd_percent: Option<f64>,
    pub idle_plate: Option<Amps>,
    pub source: &'static str,
    pub provenance: Provenance,
}
pub struct Tube {
    pub designation: &'static str,
    pub examples: &'static [Example],
}
pub fn find(name: &str) -> Option<&'static Tube> {
    TUBES
        .iter()
        .find(|t| t.designation.eq_ignore_ascii_case(name.trim()))
}
const fn ex(topology: Topology, plate: f64, load: f64, power: f64, thd: f64, idle: f64) -> Example {
    Example {
        topology,
        plate: Volts(plate),
        load: Ohms(load),
        power: Some(Watts(power)),
        thd_percent: Some(thd),
        idle_plate: Some(Amps(idle)),
        source: "RCA Receiving Tube Manual RC-30",
        provenance: Provenance::FromMemory,
    }
}
pub static TUBES: &[Tube] = &[
    Tube {
        designation: "6V6GT",
        examples: &[
            ex(Topology::SingleEnded, 250., 5000., 4.5, 8., 0.045),
            ex(Topology::SingleEnded, 180., 5500., 2., 8., 0.029),
            ex(Topology::PushPull, 250., 10000., 10., 5., 0.07),
        ],
    },
    Tube {
        designation: "6AQ5",
        examples: &[
            ex(Topology::SingleEnded, 250., 5000., 4.5, 8., 0.045),
            ex(Topology::PushPull, 250., 10000., 10., 5., 0.07),
        ],
    },
    Tube {
        designation: "EL84",
        examples: &[
            ex(Topology::SingleEnded, 250., 5200., 5.7, 10., 0.048),
            ex(Topology::PushPull, 300., 8000., 17., 4., 0.072),
        ],
    },
];
