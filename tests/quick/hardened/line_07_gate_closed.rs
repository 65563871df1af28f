//! 7. A tube that cannot be modelled is not passed: the speed at which it becomes dangerous is not known.

use super::workshop::{JOB, Workshop, on};

#[test]
fn line_7_a_tube_is_given_and_the_model_fails_the_shaft_is_refused() {
    let tube = |length: &str| {
        format!(
            "{JOB}[tube]\nouter_diameter = \"88.9 mm\"\nwall = \"2.4 mm\"\nlength = \"{length}\"\nmaterial = \"steel\"\n"
        )
    };
    // The slip of the attack: 1385 m instead of mm. Joints bent beyond what a joint can do make no sense either.
    let bent = "[[joint]]\nname = \"front\"\nplan = \"50 deg\"\nside = \"1 deg\"\n\
                [[joint]]\nname = \"rear\"\nplan = \"2 deg\"\nside = \"1 deg\"\n";
    for job in [tube("1385 m"), format!("{}{bent}", tube("1385 mm"))] {
        let shop = Workshop::new(&job, &Workshop::usual().runs());
        for verb in ["correct", "verify", "limits"] {
            let said = on(&[verb], &shop.job());
            assert_eq!(said.code, 2, "{verb}: {said:?}");
            assert!(!said.answer.contains("Hold these"), "{verb}: {}", said.answer);
            assert!(said.talk.contains("hint"), "{verb}: {}", said.talk);
        }
    }
    let shop = Workshop::new(&tube("1385 m"), &Workshop::usual().runs());
    let said = on(&["correct"], &shop.job());
    assert!(
        said.talk.contains("must not spin like this: CRITICAL SPEED NOT CHECKED: the shaft is not held"),
        "{said:?}"
    );
    assert!(said.talk.contains("check [tube]"), "{}", said.talk);
    let json: serde_json::Value =
        serde_json::from_str(&on(&["correct", "--json"], &shop.job()).answer).unwrap();
    assert_eq!((&json["advice"], &json["weights"]), (&"must not spin".into(), &serde_json::Value::Null));
    assert_eq!(json["refusal"]["code"], "critical-speed-not-checked");
    let shop = Workshop::new(&tube("1385 mm"), &Workshop::usual().runs());
    assert_eq!(on(&["correct"], &shop.job()).code, 0);
}
