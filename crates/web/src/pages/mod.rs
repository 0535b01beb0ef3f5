//! The pages, one folder each: `routes()` joins what each page answers on.

mod drawn;
mod figures;
mod findings;
mod now;
mod passage;
mod plant;
mod practice;
mod procedures;
mod readings;
mod records;
mod ship;

use axum::Router;

use crate::app::App;

/// The addresses of every page.
pub fn routes() -> Router<App> {
    Router::new()
        .merge(now::routes())
        .merge(passage::routes())
        .merge(plant::routes())
        .merge(readings::routes())
        .merge(findings::routes())
        .merge(procedures::routes())
        .merge(practice::routes())
        .merge(records::routes())
        .merge(ship::routes())
}
