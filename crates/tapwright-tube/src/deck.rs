//! A tube as a subcircuit of behavioural sources, for ngspice.

use crate::pentode::KVB;
use crate::{Model, Pentode, Triode};

/// The subcircuit `tube`: pins plate, screen (not in a triode), grid, cathode; the parameter
/// `many` multiplies its currents.
///
/// The equations of [`Pentode::flow`] and [`Triode::flow`]. A grid above the cathode counts
/// as one at the cathode's potential, where grid current would hold it.
///
/// ```
/// use tapwright_tube::deck;
/// let text = deck::subcircuit(&tapwright_tube::find("EL84").unwrap().model);
/// assert!(text.contains("\n.subckt tube plate screen grid cathode"));
/// let text = deck::subcircuit(&tapwright_tube::find("300B").unwrap().model);
/// assert!(text.contains("\n.subckt tube plate grid cathode"));
/// ```
pub fn subcircuit(model: &Model) -> String {
    match model {
        Model::Pentode(of) => pentode(of),
        Model::Triode(of) => triode(of),
    }
}

/// Inner nodes carry the quantities between, one volt for a volt or an ampere. Each `max` is
/// a floor that keeps the first guesses of the simulator within what logarithm and power
/// can take.
fn pentode(of: &Pentode) -> String {
    let Pentode {
        mu,
        exponent,
        perveance,
        kp,
        share,
        share_slope,
        share_drive,
        early,
        line,
        knee,
        returned,
        contact,
    } = of;
    format!(
        "\
* Pentode or beam tetrode. The inner nodes carry:
*   e   the drive on the cathode's space charge, V (Koren's)
*   ik  what the cathode emits, A
*   u   screen current over plate current, above the knee
*   a   plate current as far as emission limits it, A
*   b   plate current as far as space charge does (Child's law), A
*   ia  the plate current: a smooth minimum of the two
.subckt tube plate screen grid cathode many=1
.param mu={mu} x={exponent} p={perveance} kp={kp}
.param alpha={share} slope={share_slope} q={share_drive}
.param lambda={early} c={line} knee={knee} rho={returned} vc={contact} kvb={KVB}
Bva va 0 V = max(V(plate,cathode), 0)
Bvs vs 0 V = max(V(screen,cathode), 0)
Be  e  0 V = V(vs)/{{kp}}
+            * ln(1 + exp({{kp}}*(1/{{mu}} + (min(V(grid,cathode),0) + {{vc}})/sqrt({{kvb}} + V(vs)*V(vs)))))
Bik ik 0 V = {{p}} * pow(max(V(e),1n), {{x}})
Bu  u  0 V = {{alpha}} * pow(max(V(vs),1m)/(0.25*max(V(vs),1m) + 0.75*max(V(va),0)), {{slope}})
+            * pow({{mu}}*max(V(e),1n)/max(V(vs),1m), {{q}})
Ba  a  0 V = V(ik)/(1 + max(V(u),0)) * (1 + {{lambda}}*V(va))/(1 + {{lambda}}*max(V(vs),0))
Bb  b  0 V = {{c}} * pow(max(V(va),0), 1.5)
Bia ia 0 V = V(a)*V(b) / pow(pow(max(V(a),1f),{{knee}}) + pow(max(V(b),1f),{{knee}}), 1/{{knee}})
Bplate  plate  cathode I = {{many}} * V(ia)
Bscreen screen cathode I = {{many}} * (V(ik)*V(u)/(1 + max(V(u),0)) + {{rho}}*(V(a) - V(ia)))
.ends
"
    )
}

fn triode(of: &Triode) -> String {
    let Triode {
        mu,
        exponent,
        perveance,
        kp,
        kvb,
        contact,
    } = of;
    format!(
        "\
* Triode (Koren's equations). The inner node e carries the drive on the space charge, V.
.subckt tube plate grid cathode many=1
.param mu={mu} x={exponent} p={perveance} kp={kp} kvb={kvb} vc={contact}
Bva va 0 V = max(V(plate,cathode), 0)
Be  e  0 V = V(va)/{{kp}}
+            * ln(1 + exp({{kp}}*(1/{{mu}} + (min(V(grid,cathode),0) + {{vc}})/sqrt({{kvb}} + V(va)*V(va)))))
Bplate plate cathode I = {{many}} * {{p}} * pow(max(V(e),1n), {{x}})
.ends
"
    )
}
