//! Whose shaft, who balanced it, which shaft it is.

use maud::{Markup, html};

use super::pieces::facts;
use super::{Picture, ReportInput};
use crate::files::job::{Heading, Shop};

pub fn masthead(input: &ReportInput<'_>) -> Markup {
    let shop = input.view.file.map(|file| &file.paperwork.shop);
    let head =
        Masthead { title: "Record of balancing", shaft: &input.view.answer.shaft, made_at: &input.made_at };
    head.html(shop, input.logo.as_ref())
}

/// The head of a page.
pub struct Masthead<'a> {
    /// What the page is.
    pub title: &'a str,
    /// What the shaft is called.
    pub shaft: &'a str,
    /// When the page was made.
    pub made_at: &'a str,
}

impl Masthead<'_> {
    /// The head with the shop's name.
    pub fn html(&self, shop: Option<&Shop>, logo: Option<&Picture>) -> Markup {
        html! {
            header {
                div.shop {
                    @if let Some(logo) = logo { img.logo data-sha256=(logo.sha256) src=(logo.address) alt="logo"; }
                    @if let Some(name) = shop.and_then(|shop| shop.name.as_deref()) { p.name { (name) } }
                    @if let Some(address) = shop.and_then(|shop| shop.address.as_deref()) { p.address { (address) } }
                }
                div.title {
                    h1 { (self.title) }
                    p.number { (self.shaft) }
                    p.made { (self.made_at) }
                }
            }
        }
    }
}

pub fn who_and_what(input: &ReportInput<'_>) -> Markup {
    who(input.view.file.map(|file| file.paperwork.heading.clone()).unwrap_or_default())
}

/// Whose shaft it is and which.
pub fn who(heading: Heading) -> Markup {
    facts(&[
        ("Belongs to", heading.unit),
        ("Customer", heading.customer),
        ("Tag on the shaft", Some(heading.tag.unwrap_or_else(|| "none written down".into()))),
        ("Shaft type", heading.shaft_type),
        ("Note", heading.note),
    ])
}
