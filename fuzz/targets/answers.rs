//! How a shaft responds, as kept in the archive: whatever the JSON contains, sister shafts are pooled without
//! a panic.
#![no_main]

use balance_cli::archive::{TypeHistory, TypeMember, type_report};
use balance_fuzz::{Hand, Share};
use libfuzzer_sys::fuzz_target;

static SHARE: Share = Share::of("answers");

/// What a real job stored, with new random numbers.
const SAMPLE: &str = include_str!("../samples/answers.json");

fn drawn(hand: &mut Hand<'_>) -> arbitrary::Result<Vec<u8>> {
    let (mut text, mut rest) = (String::new(), SAMPLE.trim());
    while let Some(at) = rest.find(|letter: char| letter.is_ascii_digit()) {
        let end = rest[at..]
            .find(|letter: char| !letter.is_ascii_digit() && !".e-".contains(letter))
            .map_or(rest.len(), |end| at + end);
        text += &rest[..at];
        match rest[at..end].parse::<f64>() {
            Ok(usual) if rest[at..end].contains('.') && hand.now_and_then(1, 3)? => {
                text += &hand.number(usual)?
            }
            _ => text += &rest[at..end],
        }
        rest = &rest[end..];
    }
    hand.with_slips(text + rest)
}

fuzz_target!(|data: &[u8]| {
    let mut hand = Hand::new(data);
    let mut answers = Vec::new();
    for record in 0..4 {
        let Ok(text) = drawn(&mut hand) else { return };
        let answers_text = String::from_utf8_lossy(&text).into_owned();
        answers.push(TypeMember {
            record,
            number: format!("WP-{record}"),
            made_at: "2031-01-07T09:30:00Z".into(),
            answers: answers_text,
        });
    }
    let report = type_report(&TypeHistory { key: "auger drive".into(), shafts: 4, answers });
    SHARE.note(report.left_out.len() < 4);
    let _ = report.largest_scatter();
});
