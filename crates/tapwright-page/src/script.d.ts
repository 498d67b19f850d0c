
/** What is typed. Everything may be left out. */
export interface Setup {
  name: string;
  topology: "push-pull" | "single-ended";
  marking: "impedance" | "line";
  /** Primary leads in ohms: "brown 8k, blue 10k". */
  primary: string;
  line_volts: string;
  /** Power taps in watts. */
  line_taps: string;
  /** Secondary taps in ohms. */
  taps: string;
  tube: string;
  /** Supply in volts. */
  supply: string;
  /** Target load in ohms. */
  target: string;
  hookups: { name: string; speakers: string; rating: string }[];
  selected: null | { hookup: number } | { connection: Choice };
  shown: { list: boolean; sort: "rank" | "hookup" | "load" | "ratio" | "loss"; only: number | null };
  unknown: string[];
}

/** Places in the lists as typed, counted from 0. */
export interface Choice { lead: number; secondary: { tap: number } | { pair: [number, number] }; hookup: number }

export type Verdict = "fits" | "usable" | "avoid";

/** Loads in ohms, loss in decibels. */
export interface Connection extends Choice {
  turns_ratio: number; impedance: number; reflected: number; target: number; ratio: number; mismatch_loss: number;
  verdict: Verdict; lowest_reflected: number; lowest_verdict: Verdict;
  degenerate: null | "under-half-an-ohm" | "few-turns"; rank: number;
}

/** Shares from 0 to 1, ratings in watts. */
export interface DriverShare {
  rated: number; voltage: number; current: number; power: number;
  rating: number | null; hookup_power_at_rating: number | null;
}

export interface PublishedLoad {
  tube: string; plate: number; load: number; power: number | null; thd_percent: number | null;
  /** Amperes, of all tubes together. */
  idle: number; screen: boolean; source: string; from_memory: boolean;
}

export interface Working {
  quantity: string; symbol: string; formula: string;
  inputs: { symbol: string; value: number; unit: string; meaning: string }[];
  result: number; unit: string; source: string; note: string;
}

/** Everything computed; `connection` and `answers[].connection` are places in `connections`. */
export interface Report {
  problems: { field: string; why: string; example: string }[];
  missing: ("primary" | "taps" | "speakers")[];
  topology: "push-pull" | "single-ended";
  transformer: null | {
    leads: { name: string; rated: number; power_tap: number | null }[];
    taps: { name: string; rated: number }[];
    line: number | null;
  };
  line: number | null;
  supply: number | null;
  target: "as-rated" | { typed: number } | { published: PublishedLoad };
  published: PublishedLoad[];
  hookups: {
    place: number; speakers: unknown; impedance: number; lowest_impedance: number;
    shares: DriverShare[]; largest_power: null | [number, number];
  }[];
  connections: Connection[];
  answers: { hookup: number; connection: number; reason: unknown; cautions: unknown[] }[];
  chosen: null | { connection: number; by_hand: boolean; cautions: unknown[]; workings: Working[] };
}
