/** What is typed. Everything may be left out. This follows from the table of fields. */
export interface Setup {
  /** What you call the amplifier. */
  name: string;
  /** `push-pull` (default) or `single-ended`. */
  topology: "push-pull" | "single-ended";
  /** How the primary is stamped: `impedance` (default), `line`, or `measured` for not at all. */
  marking: "impedance" | "line" | "measured";
  /** Primary leads in ohms, plate to plate or plate to B+. */
  primary: string;
  /** Line voltage of a line transformer: by default 100. */
  line_volts: string;
  /** Power taps of a line transformer in watts. */
  line_taps: string;
  /** Secondary taps in ohms. */
  taps: string;
  /** Tube type, or `own` for one typed from its datasheet. */
  tube: string;
  /** B+ at the primary, at idle, in volts. */
  supply: string;
  /** The load that the tube wants, in ohms; it overrides the published one. */
  target: string;
  /** Whether the core has a gap: `unknown` (default), `gapped` or `ungapped`. */
  core: "unknown" | "gapped" | "ungapped";
  losses: {
    /** Resistance of the secondary winding as measured: from the common lead, by tap, or between two taps as `4-8`. */
    tap_winding: string;
    /** Core loss as a resistance across the primary: on one lead, named before a colon, or else on the one with the most turns. */
    core_ohms: string;
    /** Primary inductance: henries; volts, amperes and hertz as read with the secondary open; or a stated −3 dB point. On one lead, like the core loss. */
    inductance: string;
    /** Leakage inductance: henries on the primary; or volts, amperes and hertz as read with the secondary shorted. On one lead, like the core loss. */
    leakage: string;
    /** Capacitance across the primary: on one lead, like the core loss. */
    capacitance: string;
    /** Power in watts that the transformer is rated for. */
    rated_watts: string;
    /** Lowest frequency in hertz at the rated power. */
    rated_hertz: string;
    /** Steady current that magnetises the core, in mA: by default the stage's. */
    direct_ma: string;
    /** Source resistance of the tubes over the whole primary, for the band: by default the stage's. */
    plate_ohms: string;
  };
  unmarked: {
    lump: {
      /** Every lead, by its colour or number. */
      leads: string;
      /** Accuracy of the ohmmeter, % of the reading + counts: by default 1 % + 2. */
      ohmmeter: string;
      /** Accuracy of the AC voltmeter: by default 1 % + 3. */
      voltmeter: string;
      /** A lead of the primary, when you know better. */
      primary_is: string;
      /** The common lead of the secondary, when you know better. */
      common: string;
    };
    /** A reading of the ohmmeter. */
    ohms: {
      /** Two leads. */
      pair: string;
      /** The ohms between them, or `open`. */
      ohms: string;
    }[];
    /** A reading of the voltmeter on AC. */
    volts: {
      /** Two leads that are fed; empty for those of the row above. */
      fed: string;
      /** The voltage fed; empty for that of the row above. */
      fed_volts: string;
      /** Two leads that are read. */
      pair: string;
      /** The voltage there. */
      volts: string;
      /** Two leads that are joined, one of each winding, so that both are read in series. */
      joined: string;
    }[];
  };
  /** Where the screens are: `steady` (default), `taps` on the primary, or `plates` (triode connection). */
  screens: "steady" | "taps" | "plates";
  stage: {
    /** How many tubes in all: by default 2 in push-pull, 1 single-ended. */
    tubes: string;
    /** Supply of the screens in volts, where it is steady: by default B+. */
    screen: string;
    /** Resistor common to all screens, with a capacitor after it unless `no cap` follows. */
    screen_ohms: string;
    /** Resistor at each screen, without a capacitor. */
    stopper: string;
    /** Screen taps, % of the turns from B+ to the plate: by default 43. */
    screen_tap: string;
    /** Fixed grid volts from the cathode. */
    grid: string;
    /** Cathode resistor common to all tubes, in place of grid volts. */
    cathode: string;
    /** Resistance of the primary winding as measured: one for the whole winding, one for each lead in order, or by name or rating. */
    winding: string;
    /** Resistance of the supply behind B+. */
    source: string;
    /** How far the currents of the two sides of a pair differ, % of their mean. */
    unlike_current: string;
    /** How far the drive of the two sides differs, % of its mean. */
    unlike_drive: string;
    /** How far the turns of the two half windings differ, % of their mean. */
    unlike_turns: string;
    /** Drive for the charts, % of the drive at which grid current starts: by default 100. */
    drive: string;
    /** Frequency in hertz at which the speakers' reactance is counted: by default none. */
    frequency: string;
  };
  own: {
    /** Kind of your own tube: `beam` (default), `pentode`, `triode`. */
    kind: "beam" | "pentode" | "triode";
    limits: {
      /** Plate dissipation of your own tube, W. */
      own_plate_watts: string;
      /** Its screen dissipation, W. */
      own_screen_watts: string;
      /** The most on its plate, V. */
      own_plate_volts: string;
      /** The most on its screen, V. */
      own_screen_volts: string;
      /** The most its cathode gives, mA. */
      own_cathode_ma: string;
    };
    /** An operating point of your own tube. */
    points: {
      /** Plate, V from the cathode. */
      plate: string;
      /** Screen, V. */
      screen: string;
      /** Grid, V. */
      grid: string;
      /** Plate current, mA. */
      plate_ma: string;
      /** Screen current, mA. */
      screen_ma: string;
      /** Transconductance, mS. */
      gm: string;
      /** Plate resistance, Ω. */
      rp: string;
      /** µ; of a tube with a screen, from grid 1 to the screen. */
      mu: string;
    }[];
  };
  /** A speaker hookup. */
  hookups: {
    /** What you call it. */
    name: string;
    /** The speakers: in parallel as `8//8`, in series as `8+8`, with brackets. */
    speakers: string;
    /** Power rating of the speakers in watts, one for all or one each. */
    rating: string;
  }[];
  /** A speaker as it is. */
  drivers: {
    /** What hookups call it: a name, or the ohms that they write for it. */
    called: string;
    /** Its rated ohms, where the name is no number. */
    rated: string;
    /** Its coil by ohmmeter, Ω. */
    coil: string;
    /** Its size: `8`, `10`, `12`, `15` inches or `oval`. */
    size: "" | "8" | "10" | "12" | "15" | "oval";
    /** Resonance in free air, f_s. */
    resonance: string;
    /** Mechanical Q at resonance, Q_ms. */
    mechanical_q: string;
    /** Electrical Q at resonance, Q_es. */
    electrical_q: string;
    /** Inductance of the coil, L_e. */
    inductance: string;
    /** Volume of air as stiff as the suspension, V_as, in litres. */
    vas: string;
    /** Volume of the closed box in litres: by default free air, or an open back. */
    closed_box: string;
    /** Its measured curve: hertz, ohms and degrees of each point. */
    curve: string;
    /** Where the curve is from, and what was thinned. */
    from: string;
  }[];
  amplifier: {
    /** Type of the driver triodes before the output stage, or `own` for one typed from its datasheet: by default none is known. */
    driver: string;
    /** What feeds a push-pull pair: `long-tailed` (default) or `split-load`. */
    splitter: "long-tailed" | "split-load";
    /** Taper of the feedback control: `linear` (default), `logarithmic` or `reverse`. */
    taper: "linear" | "logarithmic" | "reverse";
    /** Which way round the primary is for the feedback: `right` (default) or `wrong`. */
    polarity: "right" | "wrong";
    own_driver: {
      /** Your own driver triode: plate, V from the cathode. */
      own_driver_plate: string;
      /** Its grid, V from the cathode. */
      own_driver_grid: string;
      /** Its plate current there, mA. */
      own_driver_ma: string;
      /** Its µ there. */
      own_driver_mu: string;
      /** Its plate resistance there, in ohms. */
      own_driver_rp: string;
    };
    drive: {
      /** Common-cathode stages between the input and the output stage, or its splitter: by default 1; before a long-tailed pair none. */
      driver_stages: string;
      /** Supply of the driver, in volts: by default nine tenths of B+. */
      driver_supply: string;
      /** Plate load of the driver, and each load of a splitter, in ohms: by default 100k. */
      driver_plate: string;
      /** Cathode resistor of the driver, in ohms, all of it: by default 1.5k. */
      driver_cathode: string;
      /** Capacitor across the driver's cathode resistor: by default none. */
      driver_bypass: string;
      /** The lower part of that resistor, which has no capacitor across it: by default none. */
      driver_lower: string;
      /** Volume control between two driver stages, or at the input, in ohms: by default none. */
      volume: string;
      /** What its wiper takes of the volts, %: by default 100. */
      volume_at: string;
      /** Coupling capacitors to the grids of the output stage: by default 22n. */
      coupling: string;
      /** Grid leaks of the output stage, in ohms: by default 470k. */
      grid_leak: string;
      /** Tail of a long-tailed pair, in ohms: by default 10k. */
      tail: string;
      /** Resistor from the foot of that tail to ground, where feedback enters, in ohms: by default 4.7k. */
      foot: string;
      /** Resistance of what feeds the input, in ohms: by default 10k. */
      input_ohms: string;
    };
    feedback: {
      /** Where feedback is taken from: `selected` for the tap that the speaker is on, or a tap by name or ohms; empty for none. */
      feedback_from: string;
      /** The part of the feedback resistor that cannot be turned, in ohms. */
      feedback_fixed: string;
      /** The feedback control, in ohms end to end: by default none. */
      feedback_control: string;
      /** Position of that control, % of its way: by default 50. */
      feedback_at: string;
      /** Capacitor across the feedback resistor: by default none. */
      feedback_cap: string;
      /** Capacitor of a presence control, from where the feedback enters to ground: by default none. */
      presence: string;
      /** Ohms of the presence control in series with that capacitor, as it is set: by default 0, all the way up. */
      presence_ohms: string;
      /** Decibels wanted, one value or two: the page answers with the resistor, or with the fixed part and the control. */
      feedback_wanted: string;
    };
  };
  readings: {
    /** Plate from ground as read, in volts; an accuracy may follow it. */
    read_plate: string;
    /** Cathode from ground as read, in volts. */
    read_cathode: string;
    /** Screen from ground as read, in volts. */
    read_screen: string;
    /** Drop over the screen resistor as read, in volts: over a tube’s own, or else the one of all. */
    read_screen_drop: string;
    /** Drop over the primary as read, in volts: in push-pull from B+ to this tube’s plate. */
    read_primary_drop: string;
    /** B+ at the primary as read together with the plate, in volts. */
    read_supply: string;
    /** Grid from ground as read, in volts. */
    read_grid: string;
    /** Resistor between each tube’s own cathode and ground, in ohms, where they have none in common. */
    each_cathode: string;
    /** Accuracy of the meter on DC volts: by default 0.5 % + 2. */
    read_meter: string;
    /** Tolerance of the resistors that readings are taken over, %: by default 10. */
    read_tolerance: string;
    /** The second tube’s plate from ground as read, in volts. */
    read2_plate: string;
    /** Its cathode from ground, in volts, where each tube has a resistor of its own. */
    read2_cathode: string;
    /** Drop over its half of the primary, in volts. */
    read2_primary_drop: string;
    /** Its screen from ground, in volts. */
    read2_screen: string;
    /** Drop over its own screen resistor, in volts. */
    read2_screen_drop: string;
    /** Its grid from ground, in volts. */
    read2_grid: string;
    /** The cathode resistor at another setting, in ohms: a second reading tells a shift of the tube from a factor. */
    read_other_ohms: string;
    /** Cathode from ground at that setting, in volts. */
    read_other_cathode: string;
  };
  wanted: {
    /** Plate dissipation wanted at idle for each tube: watts, or % of the limit. */
    wanted_dissipation: string;
    /** Supply of a fixed bias, in volts below ground: the page answers with a divider. */
    bias_supply: string;
  };
  heaters: {
    /** What of the heater winding goes to ground: `none` (default), its `centre` tap, or one `end`. */
    tap: "none" | "centre" | "end";
    /** Whether that winding heats the rectifier too: `apart` (default) for no, `insulated` from its cathode, or `joined` to it, so that the winding stands at B+. */
    rectifier: "apart" | "insulated" | "joined";
    /** Volts stamped on the heater winding: by default what the tubes want. */
    heater_volts: string;
    /** Amperes stamped on the heater winding. */
    heater_amps: string;
    /** Resistors from both ends of the heaters to ground, in ohms: one value for both, or two. */
    heater_resistors: string;
    /** Tolerance of those resistors, %: by default 5. */
    heater_tolerance: string;
    /** Volts by which the heaters are raised above ground, from B+: by default none. */
    heater_raise: string;
    /** Upper resistor of the divider that raises them, B+ to the tap, in ohms: by default as proposed. */
    heater_upper: string;
    /** Lower resistor of that divider, the tap to ground, in ohms: by default as proposed. */
    heater_lower: string;
    /** Amperes that the winding feeds besides the tubes typed: dial lamps. */
    heater_extra: string;
    /** Heater volts as read with every tube in its socket. They win over the computed ones. */
    heater_reading: string;
    /** Resistance behind the heater winding, in ohms: its own, and the primary’s by the turns squared. By default a tenth of its volts is lost at its stamped current. */
    heater_winding: string;
  };
  power_supply: {
    /** What stands between mains and amplifier: a `transformer` (default), or `none`: then the chassis is live. */
    isolation: "transformer" | "none";
    /** How the rectifiers stand: `full-wave` (default) with a centre tap, `bridge`, `half-wave` or `doubler`. */
    circuit: "full-wave" | "bridge" | "half-wave" | "doubler";
    /** How the current stamped on the secondary is meant: `direct` (default) behind the rectifier, or `rms` in the winding. */
    current: "direct" | "rms";
    /** The mains as it is, V rms: by default the rating of the tap in use. */
    mains: string;
    /** The mains' frequency in hertz: by default 50. */
    mains_hertz: string;
    /** Rated mains of each tap of the primary, V: by default one for the mains. */
    mains_taps: string;
    /** The tap in use, V: by default the one that suits the mains. */
    mains_tap: string;
    /** The secondary as stamped, V rms under load: `2 x 250` with a centre tap, else `250`. */
    winding_volts: string;
    /** The current stamped on the secondary, A. */
    winding_amps: string;
    /** The wire of the secondary in ohms, of half of it where it has a centre tap. */
    winding_ohms: string;
    /** The wire of the primary at the tap in use, in ohms. */
    mains_ohms: string;
    /** Type of the rectifier tube, or `silicon`. */
    rectifier: string;
    /** Resistor at each plate of the rectifier, in ohms: by default none. */
    rectifier_ohms: string;
    /** The first capacitor; of a doubler each of the two. */
    reservoir: string;
    /** The volts that it is rated for. */
    reservoir_volts: string;
    /** A bleeder across the first capacitor, in ohms: by default none. */
    bleeder: string;
    /** What the stages before the output stage draw, mA: by default 2. */
    driver_ma: string;
    /** The fuse in the mains, A. */
    mains_fuse: string;
    /** A resistor or choke behind the first capacitor, and the capacitor behind it. */
    filter: {
      /** The resistor, or the wire of the choke, in ohms. */
      ohms: string;
      /** The choke in henries: by default it is a resistor. */
      henries: string;
      /** The capacitor behind it. */
      farads: string;
      /** The volts that it is rated for. */
      volts: string;
      /** What is fed from there: `plates`, `screens`, `drivers`, or some of them. */
      feeds: string;
    }[];
  };
  /** Loads from `rated` ohms (default), or from the size of the impedance on the `curve` at `frequency`; where that falls to a load to avoid elsewhere, the page warns. */
  loads: "rated" | "curve";
  /** The set-up that is pinned as A, as a link. */
  pinned: null | string;
  /** The hookup or the connection that is followed, by places from 0. */
  selected: null | { hookup: number } | { connection: Choice };
  /** The leaf in sight, and how the connections are shown; one hookup only, by its place from 0. */
  shown: { leaf: "parts" | "connections" | "tube" | "feedback" | "heat"; list: boolean; sort: "rank" | "hookup" | "load" | "ratio" | "loss" | "watts" | "distortion"; only: number | null };
  /** Pieces of a link that no field takes, kept as they stood there. */
  unknown: string[];
}
