mod docs;
mod reading;
