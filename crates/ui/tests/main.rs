//! Window tests without a window.

mod support {
    pub mod desk;
    pub mod fixture;
    pub mod raster;
}

mod choosing;
mod contrast;
mod controls;
mod files;
mod layout;
mod pages;
mod paper;
mod pictures;
mod practising;
mod room;
mod set_list;
mod stand;
mod writing_moves;
mod writing_page;
mod writing_side;
