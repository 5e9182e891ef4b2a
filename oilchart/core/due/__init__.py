"""When one point falls due: allowances, due windows, risk and rhythms."""
