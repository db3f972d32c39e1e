mod reading;
mod tidy;
