"""The questions behind the reports: one file a report. Figures are in SI, moments in UTC."""
