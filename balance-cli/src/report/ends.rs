//! Each end: found, left, give or take, allowed, chance.

use balance_core::grade::PlaneVerdict;
use maud::{Markup, html};

use super::ReportInput;
use super::rebuild::nothing_stated;
use super::words::{degrees, shop_units, unbalance_unit};
use crate::print::text::units;
use balance_core::answer::Judged;
use balance_core::quantity::Units;

pub fn ends(input: &ReportInput<'_>) -> Markup {
    let Ok(limits) = &input.view.answer.limits else {
        return html! {};
    };
    let shop = shop_units(input);
    let stated = nothing_stated(input).is_none();
    let found = |plane: usize| plane_of(input.as_found.as_ref().filter(|_| stated), plane);
    let left = |plane: usize| plane_of(input.view.answer.judged.as_ref().filter(|_| stated), plane);
    html! {
        table.ends.short {
            caption { "Each end in " (unbalance_unit(shop)) ". Allowed: permissible residual unbalance. Give or take: holds 95 times in 100." }
            thead {
                tr {
                    th scope="col" { "Where the limit holds" }
                    th scope="col" { "Found" }
                    th scope="col" { "Left" }
                    th scope="col" { "Give or take" }
                    th scope="col" { "Allowed" }
                    th scope="col" { "Chance of being within" }
                }
            }
            tbody {
                @for (at, limit) in limits.planes.iter().enumerate() {
                    tr {
                        th scope="row" { (limit.name) }
                        td { (found(at).map_or_else(dash, |plane| amount(shop, plane))) }
                        td { b { (left(at).map_or_else(dash, |plane| amount(shop, plane))) } }
                        td { (give(shop, left(at))) }
                        td { (units::unbalance_number(shop, limit.amount.gram_millimetres())) }
                        td { (chance(left(at))) }
                    }
                }
            }
        }
    }
}

fn plane_of(judged: Option<&Judged>, plane: usize) -> Option<&PlaneVerdict> {
    judged?.deciding().verdict.planes.get(plane)
}

fn dash() -> String {
    "–".into()
}

fn amount(shop: Units, plane: &PlaneVerdict) -> String {
    let number = units::unbalance_number(shop, plane.residual.gram_millimetres());
    format!("{number} at {}", degrees(plane.residual.angle()))
}

fn give(shop: Units, plane: Option<&PlaneVerdict>) -> String {
    plane.map_or_else(dash, |plane| {
        plane
            .give_or_take()
            .map_or_else(|| "not known".into(), |circle| units::unbalance_number(shop, circle))
    })
}

fn chance(plane: Option<&PlaneVerdict>) -> String {
    plane.map_or_else(dash, |plane| plane.probability.map_or_else(|| "not known".into(), units::chance))
}
