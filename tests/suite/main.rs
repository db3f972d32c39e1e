mod checking;
mod reading;
