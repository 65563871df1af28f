//! Page one, for customer and inspector.

use maud::{Markup, html};

use super::pieces::part;
use super::{
    ReportInput, critical, ends, handover, heading, left_picture, measured, rebuild, side_view, verdict,
    weights,
};

pub fn page_one(input: &ReportInput<'_>) -> Markup {
    let picture = left_picture::picture(input);
    html! {
        main.page-one {
            (heading::masthead(input))
            div.who { (heading::who_and_what(input)) }
            div.answers.with-picture[picture.is_some()] {
                section {
                    (verdict::verdict(input))
                    (rebuild::rebuild(input))
                }
                @if let Some(picture) = picture { (picture) }
            }
            section { (verdict::only_to_these_marks(input)) (ends::ends(input)) }
            (side_view::figure(input))
            div.columns.wide-first {
                (part("Weights on the shaft", &weights::weights(input)))
                div {
                    (critical::critical(input))
                    (part("Not measured", &measured::not_measured(input)))
                    @if let Some(overrides) = handover::overrides(input) { (part("Checks that were overridden", &overrides)) }
                }
            }
            (handover::names(input))
            p.origin {
                "balance " (input.version) " · SHA-256 of the files it was made from: "
                code.over-all { (input.digests.over_all()) }
            }
        }
    }
}
