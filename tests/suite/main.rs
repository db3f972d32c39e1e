mod by_hand;
mod follow;
mod intervals;
mod published;
mod random_lines;
