"""The printed sheet for the cabinet door: step table, alarms and cautions on A4 paper."""
