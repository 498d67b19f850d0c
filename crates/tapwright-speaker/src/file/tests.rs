use super::*;

fn read(name: &str, bytes: &[u8]) -> Result<ImpedanceCurve, FileProblem> {
    let mut file = CurveFile::new(name);
    file.feed(bytes)?;
    file.finish()
}

fn points(text: &str) -> Vec<(f64, f64, f64)> {
    let curve = read("", text.as_bytes()).unwrap_or_else(|problem| panic!("{text}: {problem}"));
    let all = curve.points().iter();
    all.map(|p| (p.hertz, p.ohms, p.degrees)).collect()
}

fn problem(name: &str, bytes: &[u8]) -> String {
    match read(name, bytes) {
        Ok(curve) => panic!("{} points were read", curve.points().len()),
        Err(problem) => problem.to_string(),
    }
}

#[test]
fn every_separator_and_both_decimal_marks() {
    let expected = [(20.0, 7.1, 12.0), (80.5, 30.0, -3.5)];
    for text in [
        "20,7.1,12\n80.5,30,-3.5\n",
        "20, 7.1, 12\r\n80.5, 30, -3.5",
        "20\t7.1\t12\r80.5\t30\t-3.5\r",
        "20;7,1;12\n80,5;30;-3,5;\n",
        "20\t7,1\t12\n80,5\t30\t-3,5\n",
        "  20 7.1  12 \n 80.5 30 -3.5\n\n",
        "20,0 7,1 12,0\n80,5 30 -3,5",
        "20\u{a0}7,1\u{a0}12\n80,5\u{2009}30\u{2009}\u{2212}3,5",
        "\"20\",\"7.1\",\"12\"\n\"80.5\",\"30\",\"-3.5\"",
        "\"20\" , \" 7.1\", \"12\"\n80.5, \"30\" ,-3.5,",
        "\u{feff}* a comment\n# Freq(Hz) |Z| phase\nFrequency Impedance Phase\n20 7.1 12\n! \u{b0}\n80.5 30 -3.5\n",
        "made at the bench\n\nHz;ohms;degrees\n20;7.1;12\n; the end is near\n80.5;30;-3.5",
        "2e1 7.1E0 1.2e+01\n8.05e1 3e1 -35e-1",
    ] {
        assert_eq!(points(text), expected, "{text}");
    }
}

/// What the issue names, and what a bench makes of it: each with its line.
#[test]
fn what_cannot_be_read_names_the_line() {
    for (text, why) in [
        ("", "line 1: the file is empty"),
        ("\n \n", "none of the 2 lines"),
        ("Hz ohms degrees\n# nothing\n", "none of the 2 lines"),
        ("20 7 1\n", "line 1: it ends after one point"),
        (
            "20 7 1\n30 7 1\nHz ohms degrees\n40 7 1\n",
            "line 3: “Hz ohms degrees” is not numbers; a header",
        ),
        (
            "20 7 1\n30 7 1\n25 7 1\n",
            "line 3: 25 Hz comes after 30 Hz",
        ),
        ("20 7 1\n30 7 1\n30 8 1\n", "line 3: it repeats 30 Hz"),
        ("20 7 1\n30 7\n", "line 2: it has 2 values"),
        (
            "20,5,7,1,12,0\n",
            "line 1: it has 6 values, and frequency, ohms and degrees are wanted; if its commas",
        ),
        (
            "1;7;1\n2,500;8;2\n",
            "line 2: “2,500” can be read as 2500 or as 2.500",
        ),
        (
            "20;7.5;1\n30;7,5;1\n",
            "line 2: “7,5” has another decimal mark",
        ),
        ("0 7 1\n", "line 1: its frequency is not above zero"),
        ("-20 7 1\n", "line 1: its frequency is not above zero"),
        ("20 0 1\n", "line 1: its ohms are not above zero"),
        ("20 -7 1\n", "line 1: its ohms are not above zero"),
        ("20 1e9 1\n", "open circuit"),
        ("1e12 7 1\n", "far beyond sound"),
        ("1e999 7 1\n", "far beyond sound"),
        ("20 1e999 1\n", "open circuit"),
        ("20 7 1e999\n", "its phase is impossible"),
        ("20 7 90\n", "its phase is impossible"),
        ("20 7 -170\n", "line 1: its phase is impossible"),
        ("20 7 x\n", "line 1: “x” is not a number"),
        (
            "20 7 1\nnan nan nan\n",
            "line 2: “nan nan nan” is not numbers",
        ),
        (
            "Frequency (kHz), ohms, degrees\n0.02,7,1\n",
            "line 1: the header says khz",
        ),
        ("Hz ohms rad\n20 7 0.1\n", "line 1: the header says rad"),
        (
            "20 7 1\n\u{0}\u{1}\n",
            "line 2: it holds the byte 00, so this is no text but a binary file",
        ),
        (
            "Frequency,Phase,Impedance\n20,10,7\n",
            "line 1: the header has the phase before the ohms",
        ),
        (
            "Hz\tdegrees\tohms\n20\t10\t7\n",
            "line 1: the header has the phase before the ohms",
        ),
        ("Hz;R;X\n20;7;1\n", "line 1: the header says r; hertz"),
        (
            "0.02 7 10\n0.08 30 0\n20 9 40\n",
            "line 3: it ends at 20 Hz; are those kilohertz?",
        ),
    ] {
        let got = problem("", text.as_bytes());
        assert!(got.contains(why), "{text}: {got}");
    }
    assert!(problem("", b"\xFF\xFE2\x000\x00").contains("line 1: this is UTF-16"));
}

/// 50 MB are refused at the line that is too much, without reading on.
#[test]
fn an_enormous_file_is_refused_where_it_is_too_much() {
    let one_line = vec![b'7'; 1_000_000];
    assert!(problem("", &one_line).starts_with("line 1: it has more than 4000 characters"));
    let mut file = CurveFile::new("");
    let mut refused = None;
    for start in 0..50 {
        let mut piece = String::new();
        for n in 0..60_000 {
            let hertz = 20.0 + 0.01 * f64::from(start * 60_000 + n);
            piece.push_str(&format!("{hertz} 7 1\n"));
        }
        if let Err(problem) = file.feed(piece.as_bytes()) {
            refused = Some((start, problem.to_string()));
            break;
        }
    }
    let (start, why) = refused.expect("refused");
    assert_eq!(start, 3);
    assert!(
        why.starts_with("line 200001: there are more than 200000 points"),
        "{why}"
    );
}

#[test]
fn pieces_may_end_anywhere() {
    let text = "# Hz\r\n20 7.1 12\r\n80.5 30 -3.5\r100 20 -40";
    let whole = read("", text.as_bytes()).expect("sound");
    for size in 1..text.len() {
        let mut file = CurveFile::new("");
        for piece in text.as_bytes().chunks(size) {
            file.feed(piece).expect("sound");
        }
        assert_eq!(file.finish().expect("sound"), whole, "{size}");
    }
}

/// Made with scikit-rf 2.2.0 (PyPI): `skrf.Network(file).z` of files of these texts. Its
/// reader multiplies Y of version 1 by the reference where the specification normalises it
/// (Y·R): those are `R / y`, by hand.
#[test]
fn touchstone_as_scikit_rf_reads_it() {
    let second = |rest: &str| {
        let head =
            "[Version] 2.0\n# Hz F RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 3\n";
        let (form, rest) = rest.split_once('|').expect("a form and the rest");
        format!("{}{rest}\n[End]\n", head.replace("F RI", form))
    };
    for (name, text, z) in [
        (
            "x.s1p",
            "! a comment\n# kHz S MA R 50\n0.02 0.75 170 ! more\n0.1 0.6 120.5\n1 0.7 -165\n"
                .to_owned(),
            [
                (7.196406326039035, 4.284489751774105),
                (16.251524556669608, 26.255226486858888),
                (8.971619631877862, -6.3741890913802415),
            ],
        ),
        (
            "x.S1P",
            "# Hz S DB R 8\n20 -1.5 100\n100 -6.25 12\n1000 -20 -45\n".to_owned(),
            [
                (1.1681238503255273, 6.6283718850325535),
                (21.45244241008043, 5.6942864465223435),
                (9.118345306868804, -1.302554302967164),
            ],
        ),
        (
            "no ending at all",
            "# HZ s ri r 75\n20 -0.8 0.1\n100 -0.2 0.3\n1e3 -0.85 0.05\n".to_owned(),
            [
                (8.076923076923077, 4.615384615384615),
                (42.64705882352941, 29.411764705882355),
                (6.021897810218978, 2.18978102189781),
            ],
        ),
        (
            "x.s1p",
            "# Hz Z RI R 50\n20 0.14 0.02\n100 0.6 -0.1\n1000 0.15 0.05\n".to_owned(),
            [(7.0, 1.0), (30.0, -5.0), (7.5, 2.5)],
        ),
        (
            "x.s1p",
            "# Hz Z MA R 1\n20 7.1 12\n100 30 -3.5\n1000 8.2 20\n".to_owned(),
            [
                (6.944847965210021, 1.4761730048060915),
                (29.94404395265599, -1.8314561860457041),
                (7.705479490444445, 2.804565175270481),
            ],
        ),
        (
            "x.s1p",
            "# Hz Y RI R 50\n20 5 0\n100 2 1\n1000 8 -6\n".to_owned(),
            [(10.0, 0.0), (20.0, -10.0), (4.0, 3.0)],
        ),
        (
            "x.ts",
            second(
                "S MA|[Reference]\n 8 ! ohms\n[Network Data]\n20 0.2 170\n100 0.6 12\n1000 0.1 60",
            ),
            [
                (5.355935749655419, 0.3875202010953449),
                (27.493936428274804, 10.718082768822377),
                (8.703296703296704, 1.5226820286319804),
            ],
        ),
        (
            "x.txt",
            second(
                "Z RI|[Begin Information]\nmade up\n[End Information]\n[Network Data]\n20 7 1\n100 30 -5\n1000 7.5 2.5",
            ),
            [(7.0, 1.0), (30.0, -5.0), (7.5, 2.5)],
        ),
        (
            "x.ts",
            second(
                "Y RI|[Matrix Format] Full\n[Network Data]\n20 0.14 -0.02\n100 0.033 0.005\n1000 0.12 -0.04",
            ),
            [
                (6.999999999999994, 0.9999999999999993),
                (29.6229802513465, -4.488330341113104),
                (7.5000000000000036, 2.5000000000000004),
            ],
        ),
    ] {
        let curve = read(name, text.as_bytes()).unwrap_or_else(|p| panic!("{text}: {p}"));
        for ((re, im), hertz) in z.into_iter().zip([20.0, 100.0, 1e3]) {
            let got = curve.impedance(hertz);
            let off = (got - num_complex::Complex64::new(re, im)).norm();
            assert!(off < 1e-9 * got.norm(), "{text}: {hertz} Hz {got}");
        }
    }
}

#[test]
fn touchstone_that_cannot_be_read_names_the_line() {
    for (text, why) in [
        ("! nothing\n", "none of the 1 lines"),
        ("20 0.5 0\n", "line 1: the option line"),
        (
            "# Hz S MA R 50\n20 0.5\n",
            "line 2: it has 2 values, and one port has three",
        ),
        (
            "# Hz S MA R 50\n20 .1 0 .1 0 .1 0 .1 0\n",
            "line 2: it has 9 values",
        ),
        (
            "# Hz H MA R 50\n",
            "line 1: H parameters are those of two ports",
        ),
        ("# Hz S MA R nix\n", "line 1: “nix” is no reference"),
        ("# Hz S MA R 0\n", "line 1: “0” is no reference"),
        ("# miles S MA\n", "line 1: “miles” is no option"),
        (
            "# Hz S MA R 50\n20 1 0\n30 .5 0\n",
            "line 2: that is an open circuit",
        ),
        (
            "# Hz S MA R 50\n20 1.2 30\n",
            "line 2: a speaker takes power",
        ),
        ("# Hz Z RI R 1\n20 -8 1\n", "line 2: a speaker takes power"),
        ("# Hz Z RI R 1\n20 8,5 1\n", "line 2: “8,5” has a comma"),
        (
            "# Hz Z RI R 1\n20 8 1\n# Hz Z RI R 1\n",
            "line 3: an option line belongs above",
        ),
        ("# GHz S MA R 50\n2 0.5 0\n", "far beyond sound"),
        (
            "# Hz Z RI R 1\n30 8 1\n20 8 1\n",
            "line 3: 20 Hz comes after 30 Hz",
        ),
        ("[Version] 3.0\n", "line 1: version “3.0” is not known"),
        (
            "[Version] 2.0\n# Hz Z RI\n[Number of Ports] 2\n",
            "line 3: it has 2 ports",
        ),
        (
            "[Version] 2.0\n# Hz Z RI\n20 8 1\n",
            "line 3: “20 8 1” stands before [Network Data]",
        ),
        (
            "[Version] 2.0\n# Hz Z RI\n[Number of Frequencies] 3\n[Network Data]\n20 8 1\n30 8 1\n[End]\n",
            "line 7: the file ends with 2 points, and says that it has 3",
        ),
        ("[Version] 2.0\n[Reference] 8\n", "line 2: the option line"),
        (
            "[Version] 2.0\n[Mixed-Mode Order] D1\n",
            "line 2: “mixed-mode order” is no keyword of one port",
        ),
    ] {
        let got = problem("x.s1p", text.as_bytes());
        assert!(got.contains(why), "{text}: {got}");
    }
}
