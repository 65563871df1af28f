//! Whose shaft, who balanced it, which shaft it is.

use maud::{Markup, html};

use super::ReportInput;
use super::pieces::facts;

pub fn masthead(input: &ReportInput<'_>) -> Markup {
    let shop = input.view.file.map(|file| &file.paperwork.shop);
    html! {
        header {
            div.shop {
                @if let Some(logo) = &input.logo { img.logo data-sha256=(logo.sha256) src=(logo.address) alt="logo"; }
                @if let Some(name) = shop.and_then(|shop| shop.name.as_deref()) { p.name { (name) } }
                @if let Some(address) = shop.and_then(|shop| shop.address.as_deref()) { p.address { (address) } }
            }
            div.title {
                h1 { "Record of balancing" }
                p.number { (input.view.answer.shaft) }
                p.made { (input.made_at) }
            }
        }
    }
}

pub fn who_and_what(input: &ReportInput<'_>) -> Markup {
    let heading = input.view.file.map(|file| file.paperwork.heading.clone()).unwrap_or_default();
    facts(&[
        ("Belongs to", heading.unit),
        ("Customer", heading.customer),
        ("Tag on the shaft", Some(heading.tag.unwrap_or_else(|| "none written down".into()))),
        ("Shaft type", heading.shaft_type),
        ("Note", heading.note),
    ])
}
