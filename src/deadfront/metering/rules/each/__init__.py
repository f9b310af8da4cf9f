"""One module for each rule of the metering plan: IDS and `checks(facts)`."""
