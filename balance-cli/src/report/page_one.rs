//! Page one, for customer and inspector.

use maud::{Markup, html};

use super::pieces::part;
use super::{ReportInput, critical, done, ends, handover, heading, measured, side_view, verdict, weights};

pub fn page_one(input: &ReportInput<'_>) -> Markup {
    html! {
        main.page-one {
            (heading::masthead(input))
            div.who { (heading::who_and_what(input)) }
            (side_view::figure(input))
            div.answers {
                section { (verdict::verdict(input)) }
                section { (critical::critical(input)) }
            }
            section { (verdict::only_to_these_marks(input)) (ends::ends(input)) }
            div.columns.wide-first {
                (part("Weights on the shaft", &weights::weights(input)))
                div {
                    (part("What was done", &done::done(input)))
                    (part("Overrides", &handover::overrides(input)))
                }
            }
            div.columns.three {
                div {
                    (part("What was not measured", &measured::not_measured(input)))
                    (part("Stand", &handover::stand(input)))
                }
                (part("Fitting", &handover::fitting(input)))
                (part("Bring it back", &handover::coming_back()))
            }
            (handover::names(input))
            p.origin {
                "balance " (input.version) " · SHA-256 of what it was made from "
                code.over-all { (input.digests.over_all()) }
            }
        }
    }
}
