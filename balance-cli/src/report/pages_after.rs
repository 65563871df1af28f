//! Page two and on: everything that page one rests on.

use maud::{Markup, html};

use super::pieces::part;
use super::side_view::drawn;
use super::{
    Photo, ReportInput, budget, cautions, condition, convention, handover, influence, runs_table, sources,
    terms,
};
use crate::draw::{readings, tube};
use crate::picture;

pub fn pages_after(input: &ReportInput<'_>) -> Markup {
    html! {
        div.columns.handover {
            (part("Fitting", &handover::fitting(input)))
            (part("Bring it back", &handover::coming_back()))
        }
        div.pages-after {
            h1 { "The figures behind page one" }
            (part("All runs, as typed", &runs_table::runs(input)))
            (part("How angles are counted", &convention::convention(input)))
            (part(influence::title(input.view.units()), &influence::influence(input)))
            (part("What the give or take is made of", &budget::budget(input)))
            (part("Pictures", &pictures(input)))
            (part("What the words mean", &terms::terms(input)))
            (part("The shaft as received and as built", &condition::received_and_built(input)))
            (part("Places", &condition::places(input)))
            (part("Inspection", &condition::inspection(input)))
            (part("Runout and joints", &condition::runout_and_joints(input)))
            (part("Gauges", &condition::gauges(input)))
            (part("Cautions", &cautions::cautions(input)))
            @if !input.shaft.photos.is_empty() { (part("Photographs", &photos(input))) }
            (part("What it was made from", &sources::sources(input)))
        }
    }
}

/// The readings, and the tube at each place; what is left stands on page one.
fn pictures(input: &ReportInput<'_>) -> Markup {
    let view = input.view;
    let groups = 0..view.answer.runs.groups().len();
    let sensors = view.answer.runs.setup().sensor_ids();
    let dials = groups.flat_map(|group| sensors.clone().map(move |sensor| (group, sensor)));
    html! {
        div.pictures {
            @for (group, sensor) in dials {
                figure { (drawn(&readings(&picture::sensor_readings(view, group, sensor)))) }
            }
            @for plane in picture::tube_planes(view) { figure { (drawn(&tube(&plane))) } }
        }
    }
}

fn photos(input: &ReportInput<'_>) -> Markup {
    photographs(&input.shaft.photos)
}

/// The photographs with their words.
pub fn photographs(photos: &[Photo]) -> Markup {
    html! {
        div.pictures {
            @for photo in photos {
                figure.photo {
                    img data-sha256=(photo.picture.sha256) src=(photo.picture.address) alt=(photo.words);
                    figcaption { (photo.words) }
                }
            }
        }
    }
}
