
/** Places in the lists as typed, counted from 0. */
export interface Choice { lead: number; secondary: { tap: number } | { pair: [number, number] }; hookup: number }

export type Verdict = "fits" | "usable" | "avoid";

/** Loads in ohms, loss in decibels. */
export interface Connection extends Choice {
  /** Standard uncertainty of the turns ratio over it, where it was measured. */
  turns_ratio: number; uncertainty: number | null; impedance: number; reflected: number; target: number; ratio: number; mismatch_loss: number;
  verdict: Verdict;
  because: null | "power-lost" | "dirtier" | "limit-passed" | "speakers-take-less" | "no-centre-tap";
  lowest_reflected: number; lowest_verdict: Verdict;
  degenerate: null | "under-half-an-ohm" | "few-turns"; output: null | Output; rank: number;
  /** Where distortion comes to 10 % (triodes: 5 %); of recommended and followed connections. */
  clean: null | AtDrive;
}

/**
 * A limit of the tube that is passed: from which drive on, the most up to full drive, and the most of all.
 * Drives over the one at which grid current starts; 0 at idle.
 */
export interface Exceeded {
  burden: string; limit: number; from: number; up_to_full: number; drive: number; value: number;
}

/** Plate dissipation, screen dissipation, cathode current. */
export type Passed = [null | Exceeded, null | Exceeded, null | Exceeded];

/** What the stage delivers into a connection, at the onset of grid current. */
export interface Output {
  /** In the speakers; the load behind the primary’s copper, and the power into it. */
  watts: number; load: number; into_load: number; against_target: number; thd: number;
  passed: Passed;
}

/** One tube at idle; volts, amperes, watts, siemens, ohms. */
export interface Idle {
  plate_volts: number; screen_volts: number; grid_volts: number; cathode_volts: number; supply_volts: number;
  screen_node_volts: number; plate_amps: number; screen_amps: number; plate_watts: number; screen_watts: number;
  transconductance: number; plate_resistance: number; all_plate_amps: number; all_screen_amps: number;
  magnetising_amps: number; residual_volts: number;
}

/** The output stage as it was computed. */
export interface SolvedStage {
  tube: unknown; assumed: unknown; stage: unknown; idle: Idle; conditions: string[]; idle_exceeds: Exceeded[];
  target: number; at_target: { watts: number; thd: number }; target_passes: Passed; full_signal_passes: Passed;
  curve: { load: number; watts: number; thd: number }[];
}

/** The chosen connection, solved. */
export interface ChosenOutput {
  load: number; share: number; at_full: { watts: number; thd: number }; drive: number; delivered: { watts: number; thd: number };
  /** The whole cycle at that drive, and at the onset of grid current. */
  cycle: unknown; onset: unknown;
  load_line: { plate_volts: number; plate_amps: number; grid_volts: number }[];
  wave: { degrees: number; volts: number; fundamental: number }[];
  /** H2 to H7 over H1. */
  harmonics: number[];
  /** Where distortion comes to 10 % (triodes: 5 %), if that is below full drive. */
  clean: null | AtDrive;
  stress: unknown; stresses: unknown[];
  burdens: { burden: string; value: number; limit: number | null; drive: number; over_from: number | null }[];
  /** Without the speakers' reactance. */
  passed: Passed;
  reactive: null | { Ok: unknown } | { Err: string };
  /** Volts and amperes of one tube. */
  family: { grid_volts: number; points: [number, number][] }[]; hyperbola: [number, number][];
}

/** Numbers that no formula gives: what was solved, and how nearly. */
export interface Solution {
  quantity: string; equations: string[]; solution: Working["inputs"]; residual: number; residual_unit: string; source: string;
}

/** Shares from 0 to 1, ratings in watts. */
export interface DriverShare {
  rated: number; voltage: number; current: number; power: number;
  rating: number | null; hookup_power_at_rating: number | null;
}

/** A hookup over frequency, pairs of hertz and a value; `power` has the share of each driver. */
export interface Sweep {
  ohms: [number, number][]; degrees: [number, number][]; load_ohms: [number, number][]; power: [number, number][][];
}

/** A drive over the one at which grid current starts, and what it gives. */
export interface AtDrive { drive: number; drive_peak: number; wanted_thd: number; delivered: { watts: number; thd: number } }

/** A lead: of a stamped transformer by its place or its name, of a measured one by its name. */
export type Terminal = { lead: number } | { "supply-lead": string | null } | { tap: number } | { common: string | null } | { named: string };

/** Where every lead goes. */
export interface Wiring {
  plates: Terminal[]; supply: null | Terminal; either_way: boolean; speaker: Terminal; ground: Terminal;
  /** Volts peak at full drive; and over the peak across the part of the winding in use. */
  insulated: { terminal: Terminal; swing: number | null; ratio: number; on_supply: boolean }[];
}

export interface PublishedLoad {
  /** Plate volts, and whether they are counted from a cathode above ground. */
  tube: string; plate: number; from_cathode: boolean; load: number; power: number | null; thd_percent: number | null;
  /** Amperes, of all tubes together. */
  idle: number;
  /** How many tubes the example is for, and how many such examples are counted side by side. */
  example_tubes: number; beside: number;
  screen: boolean; source: string; from_memory: boolean;
}

export interface Working {
  quantity: string; symbol: string; formula: string;
  inputs: { symbol: string; value: number; unit: string; meaning: string }[];
  result: number; unit: string; source: string; note: string;
}

/** What the iron does in a connection; ohms, decibels, hertz, watts. */
export interface Passage {
  network: {
    turns_ratio: number; primary_ohms: number; secondary_ohms: number; core_ohms: number | null;
    inductance: number | null; leakage: number; capacitance: number;
  };
  input: number; efficiency: number; insertion_loss: number; source: number;
  band: null | { low: number | null; high: number | null };
  full_power: number | null; lowest_hertz: number | null;
}

/** What the iron loses: one passage for each connection, none while nothing is known. */
export interface SolvedIron {
  not_counted: string[]; source: "typed" | "tubes" | "rated";
  /** In amperes, in a core without a gap. */
  direct_current: null | { amps: number | null };
  passages: Passage[];
  response: {
    hertz: number; decibels: number; degrees: number; input: number; input_degrees: number; largest_power: number | null;
  }[];
}

/** A value with its standard uncertainty. */
export interface Uncertain { value: number; uncertainty: number; }

/** A turns ratio, and its standard uncertainty divided by it. */
export interface TurnsRatio { n: number; relative: number; }

/** Two leads, by their places in `Findings.leads`. */
export type Pair = [number, number];

/** A winding as far as it is known: `leads` from end to end, ohms of its `sections` between neighbours. */
export interface Winding {
  leads: number[]; tied: boolean; closed: boolean; ends_known: boolean; order_known: boolean;
  sections: Uncertain[]; ohms: Uncertain | null;
  centre_tap: null | { lead: number; unlike: number };
  /** Every order that the readings allow. */
  orders: number[][];
}

/** A test: its first row, the leads that are fed, with how many volts. */
export interface Test { row: number; fed: Pair; volts: number | null; }

/** What readings tell. Leads are places in `leads`, windings are places in `found.windings`, rows count from 0. */
export interface Findings {
  leads: string[];
  found: {
    windings: Winding[];
    /** Ohms that tell whether a pair is on one winding, ohms that tell the order of leads, volts that do. */
    questions: ({ "one-winding": Pair } | { order: Pair } | { volts: Pair })[];
    /** Readings that cannot all be right, by their places among those of the ohmmeter that could be read. */
    conflicts: ({ "open-and-connected": number[] } | { "do-not-add-up": number[] })[];
    primary_times: number | null;
  };
  contradicted: boolean; order_known: boolean;
  /** Whether something is open or does not agree, so that the rest is not certain. */
  unsure: boolean;
  /** The number is how many times the turns, or the ohms, of any other winding it has. */
  primary: null | { winding: number; evidence: "typed" | { turns: number } | { resistance: number } };
  secondary: number | null;
  /** How many times the ohms of the primary that was typed another winding has. */
  outweighed: number | null;
  /** `most` is the most that any two other leads get, divided by what is fed; null where nobody knows. */
  feed: null | { pair: Pair; most: number | null };
  centre_tap: number | null; common: number | null;
  /** Leads between the ends of the primary; `part` of the turns, or of the ohms, up to `from`. */
  inner_taps: { lead: number; kind: "middle" | "perhaps-middle" | "screen" | "other"; from: number; part: number; by_turns: boolean }[];
  /** Ohms that do not go with the volts. */
  doubts: { pair: Pair; ohms: number; expected: number; by: Pair }[];
  /** The ways to use the primary, and the taps. Turns count in those of the whole primary; `guess` is in ohms. */
  transformer: null | {
    common: number;
    leads: { pair: Pair; turns: number; unused: { lead: number; swing: number }[] }[];
    taps: { lead: number; turns: number }[];
    guess: { whole: number; taps: number[]; leads: number[]; within: number; customary: boolean };
  };
  /** Turns from `start` to `lead`, in those of the whole primary. */
  turns: { start: number; lead: number; winding: number; part: TurnsRatio | null }[];
  /** Voltages still to be read. */
  wanted: Pair[];
  /** What to do next, one thing at a time; null when everything is settled. */
  next: null | "contradiction" | { "one-winding": Pair } | { ohms: Pair } | { "fed-volts": Pair }
    | { volts: { feed: Pair; fed: boolean; most: number | null; pair: Pair; for_order: boolean } }
    | { again: { pair: Pair; meter: "ohms" | "volts"; because: "digits" | "disagrees" } }
    | { "cannot-tell": "primary" | "second-winding" | "disagreement" | { order: number[] } | { turns: Pair } };
  agreements: {
    shown: { row: number; fed: boolean; voltage: { test: number; pair: Pair; joined: Pair | null; volts: Uncertain } };
    expected: number; standardised: number; suspected: boolean;
  }[];
  like_ends: { alike: Pair; known: boolean }[];
  /** Dangerous tests, and what they make live; nothing is listed where leads that were not measured may be live. */
  hazards: { test: Test; live: { pair: Pair; volts: number; guessed: boolean }[] }[];
}

/** Everything computed; `answers[].connection` is a place in `connections`. */
export interface Report {
  problems: { field: string; why: string; example: string }[];
  missing: ("primary" | "taps" | "speakers")[];
  topology: "push-pull" | "single-ended";
  /** What the readings tell, when the transformer is measured. */
  measured: null | Findings;
  transformer: null | {
    /** A guessed rating is the scale of turns that were measured. */
    leads: { name: string; rated: number; power_tap: number | null; guessed: boolean }[];
    taps: { name: string; rated: number; guessed: boolean }[];
    line: number | null;
  };
  /** B+ of the supply that is described, V, with what is drawn at idle, A, and by how much it falls
   * for an ampere more, Ω; or why there is none; null until enough is typed. */
  power_supply: null | { Ok: { loads: SupplyLoads; volts: number; ohms: number; typed: number | null } } | { Err: string };
  /** Keys that a supply still needs which is begun; and whether nothing isolates it from the mains. */
  supply_wants: string[]; is_live: boolean;
  /** The driver and the feedback as they were read. */
  amplifier: unknown;
  /** The heaters as they were read. */
  heaters: unknown;
  /** What the leads without a rating are called, of a stamped transformer. */
  ends: { supply: string | null; common: string | null };
  line: number | null;
  supply: number | null;
  /** Hertz; and whether the loads are those at it. */
  frequency: number | null;
  by_curve: boolean;
  target: "as-rated" | { typed: number } | { computed: number } | { published: PublishedLoad };
  published: PublishedLoad[];
  /** How the person's own tube was fitted. */
  own: null | unknown;
  /** Ok, or why it could not be computed; null without a tube. */
  stage: null | { Ok: SolvedStage } | { Err: string };
  /** What is wrong with the stage, whatever it is connected to. */
  health: { alarms: unknown[]; notes: unknown[] };
  iron: SolvedIron;
  hookups: {
    place: number; speakers: unknown; impedance: number; lowest_impedance: number;
    shares: DriverShare[]; largest_power: null | [number, number];
    /** The same over frequency, once a driver is described. */
    safe: null | { watts: number; hertz: number; driver: number };
  }[];
  connections: Connection[];
  answers: { hookup: number; connection: number; reason: unknown; cautions: unknown[];
    /** What would suit, where the connection is one to avoid. */
    wiring: null | Wiring;
    remedies: ({ speaker: { ohms: number; lead: number; secondary: { tap: number } | { pair: [number, number] } } } | { tube: { designation: string; load: number } })[] }[];
  /** The taps on the primary lead that is followed, as positions of a selector; places are among
   * `connections` and of hookups. */
  selector: null | { lead: number; positions: { tap: number; connections: number[]; serves: number[] }[] };
  /** The connection that the page follows; `place` is among `connections`. */
  followed: null | {
    place: number; by_hand: boolean; output: null | { Ok: ChosenOutput } | { Err: string };
    /** The hookup from 20 Hz to 20 kHz, and at `frequency`. */
    sweep: null | Sweep; at_frequency: null | Sweep;
  };
  /** The readings at idle as they were read, and what is wanted there. */
  readings: Readings;
  /** What is said of it. */
  chosen: null | { wiring: null | Wiring; cautions: unknown[]; workings: Working[]; solutions: Solution[] };
}

/** Direct amperes that are drawn. */
export interface SupplyLoads { plates: number; screens: number; drivers: number }

/** A current through a cycle of the mains, A. */
export interface PartCurrent { mean: number; rms: number; peak: number }

/** What the power supply does: volts, amperes, ohms, watts, seconds, farads, henries. */
export interface SupplyReport {
  taken: { field: string; value: number }[];
  loads: SupplyLoads; full: null | SupplyLoads;
  /** Capacitors that feed them, counted from 0. */
  places: { plates: number; screens: number; drivers: number };
  volts: number; typed: number | null; ohms: number;
  nodes: {
    farads: number; volts: number; ripple: number; full: number | null; open: number; cold: number; rated: number | null;
    safe_with_tubes: number | null; safe_without: number | null;
  }[];
  parts: { ohms: number; henries: number | null; current: PartCurrent; watts: number }[];
  rectifier: PartCurrent; rectifier_watts: number; winding: PartCurrent; is_fast: boolean;
  bleeder: null | { ohms: number; watts: number };
  passed: unknown[]; plate_ohms: number | null;
  taps: { tap: number; in_use: boolean; advised: boolean; volts: number | null; heaters: number; cold: number }[];
  /** Direct amperes in all, and B+. */
  against_load: [number, number][];
  wave: { seconds: number[]; volts: number[][]; amps: number[] };
  mains: { amps: number; high_tension_watts: number; heater_watts: number; fuse: number | null };
  cautions: unknown[]; workings: Working[]; solutions: Solution[];
}

/** At 1 kHz into the rated resistance: volts at the jack for one at the input, with feedback and
 * without; decibels that the gain falls by; ohms that the speaker sees. */
export interface Headline { gain: number; open_gain: number; decibels: number | null; source_ohms: number }

/** A setting of the feedback: position of the control from 0 to 1, and ohms. */
export interface FeedbackSetting { position: number | null; ohms: number; headline: Headline }

/** What the feedback does in the connection that is followed. Pairs are hertz or a position, and a value. */
export interface LoopReport {
  taken: { field: string; value: number }[];
  /** Whether leakage and capacitance of the primary are both known. */
  high_end_known: boolean;
  /** With the volume control that stands inside the loop all the way up. */
  at_full_volume: null | Headline;
  without: Headline; now: null | FeedbackSetting; ends: null | [FeedbackSetting, FeedbackSetting];
  /** Volts rms at the input for full output: without feedback, and as it is set. */
  input_for_full: null | [number, number];
  rated: number;
  along: { tap: number; points: [number, number][] }[];
  /** Decibels with feedback from the tap in use, and from `fixed_tap`. */
  by_tap: { tap: number; hookup: number | null; ohms: number; selected: number; fixed: number }[];
  fixed_tap: number;
  responses: { ohms: number | null; points: [number, number][]; oscillates: boolean }[];
  source: [number, number][];
  /** Hertz, decibels, degrees. */
  loop_gain: [number, number, number][];
  /** Margins from the least to the largest over what was assumed: degrees and decibels. */
  stability: {
    case: "as-wired" | "no-speaker" | "full-volume" | { "other-tap": number }; stable: boolean;
    phase: null | [number, number]; phase_hertz: number | null; gain: null | [number, number];
  }[];
  found: null | unknown;
  /** Distortion without feedback, and with it by the textbook's estimate. */
  cleaned: { watts: number; open: number; closed: number }[];
  /** Numbers by a formula of the textbook, and `full` by the whole circuit. */
  reduced: ReducedWorking[];
}

/** A working, and what the whole circuit gives; null for a definition. */
export interface ReducedWorking extends Working { full: number | null }

/** The readings at idle; those that hold no volts are always null in `shown`. */
export interface Readings {
  /** By the keys of the fields: null, or volts with the limits of their error, of its gain (0 to 1) and of its digits (volts). */
  shown: unknown;
  each_cathode: number | null; tolerance: number | null;
  /** Ohms, and volts at the cathode there. */
  other: null | [number, number];
  wanted: null | { watts: number } | { "of-limit": number };
  bias_supply: number | null;
}

/** A value and its standard uncertainty. */
export interface Uncertain { value: number; uncertainty: number }

/** One tube as read; volts from the cathode, but for the cathode's from ground. Shares are of the limits. */
export interface IdleSide {
  cathode_amps: Uncertain; screen_amps: Uncertain; plate_amps: Uncertain;
  plate_volts: Uncertain; screen_volts: Uncertain; cathode_volts: Uncertain; grid_volts: number;
  plate_watts: Uncertain; screen_watts: Uncertain;
  plate_share: null | Uncertain; screen_share: null | Uncertain;
}

/** The idle point from readings. */
export interface FoundIdle {
  sides: IdleSide[];
  /** How far the cathode currents of two sides differ, over their mean. */
  apart: null | Uncertain;
  ways: { by_cathode: boolean; plate_amps: Uncertain }[];
  doubt: null | { suspects: unknown[]; by: number };
  /** What stands in for readings. */
  stands: string[];
  /** All currents over those of the model of the type, and the shift of its grid in volts. */
  factor: number | null; shift: number | null; other_is_odd: boolean;
  cathode_resistor_watts: number | null;
}

/** Ohms of a cathode resistor common to all tubes, or fixed grid volts from the cathode. */
export type Bias = { cathode: number } | { fixed: number };

/** One tube at a bias; watts for one ohm or one volt more. */
export interface AtBias { bias: Bias; idle: Idle; watts_per_step: number }

/** A setting in ohms or volts, its watts, and those over the limit. */
export interface BiasSetting { bias: number; watts: number; share: number | null }

/** The parts that make a bias; `ends` are the trimmer at no ohms, and at all of them. */
export type MadeBias =
  { resistor: {
    trimmer: { fixed: number; trimmer: number; position: number; is_safe: boolean };
    fixed_rating: number | null; trimmer_rating: number | null; ends: [BiasSetting, BiasSetting];
    bypass: { farads: number; rated_volts: number | null; open_volts: number };
  } } |
  { divider: {
    divider: { upper: number; lower: number; trimmer: number; position: number; hottest_volts: number; coolest_volts: number };
    ends: [BiasSetting, BiasSetting];
  } };

/** The bias for the dissipation wanted. */
export interface ReachedBias {
  at: AtBias; uncertainty: number | null; sides: null | [number, number];
  resistor_watts: number | null; resistor_rating: number | null; made: null | MadeBias;
  /** At full drive into the load in use: as it was, and as it will be. */
  driven: null | [{ watts: number; thd: number }, { watts: number; thd: number }];
  later: { cathode_volts: number; plate_amps: number; bias: number }[];
}

/** The idle point of the stage, as read and as wanted. */
export interface IdleReport {
  tubes: number;
  limit: null | { plate_watts: number; screen_watts: number | null; rating: string | null };
  computed: AtBias;
  read: "nothing" | "impossible" | { "not-enough": string[][] } | { found: FoundIdle };
  leak: null | { grid_volts: number; amps: number; insulation_ohms: number | null };
  wanted: null | { watts: number; share: number | null; reached: null | ReachedBias };
  along: null | { by_resistor: boolean; points: [number, number][]; limit: number | null; read: null | [number, number]; wanted: null | [number, number] };
  notes: unknown[];
  workings: Working[];
}

/** Two resistors that make a centre tap of the heaters: amperes, watts of each, and volts rms of
 * the middle from ground as typed and in the worst case of the tolerance. */
export interface TiedHeaters {
  balance: { volts: number; ohms: [number, number]; tolerance: number };
  amps: number; watts: [number, number]; residual: number; worst: number;
  trimmer: null | { ohms: number; leaves: number };
}

/** The heaters. Volts of them are rms, all others DC from ground. */
export interface HeaterReport {
  tubes: {
    tube: string; bottles: number; is_on_winding: boolean;
    heater: { volts: number; amps: number; cathode_volts: number | null; is_filament: boolean };
  }[];
  /** Whether a tube typed from its datasheet is there, which is not counted. */
  has_own_tube: boolean;
  wanted_volts: number;
  winding: { volts: number; rated_amps: number | null; ohms: number };
  tube_amps: number; extra_amps: number; load_amps: number;
  /** By how much the volts are off as a share; ohms in each leg that mend it, and their watts. */
  present: { volts: number; is_read: boolean; mains: number | null; off: number; in_each_leg: null | [number, number] };
  tie: "nothing" | "centre-tap" | "one-end" | { resistors: TiedHeaters } | { refused: string };
  /** What two resistors of 100 ohms would do. */
  usual: TiedHeaters;
  raised: null | {
    wanted: number; divider: null | { supply: number; upper: number; lower: number };
    volts: number | null; watts: null | [number, number];
  };
  level: number | null;
  rectifier_cathode: number | null;
  /** Each cathode from ground, and the peak between it and its heater. */
  cathodes: { role: string; tube: string; volts: number | null; limit: number | null; peak: number | null }[];
  /** Between which levels the heaters may stand; null in place of no upper end. */
  window: null | [number, number | null];
  workings: Working[];
}

/** The heaters, and what to beware of with them. */
export interface HeatersToldOf { report: HeaterReport; cautions: unknown[] }
