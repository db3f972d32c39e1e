mod reading;
