"""rodnote: what a drain technician says while the camera is in the pipe, as a record that a report may rest on."""
