"""The files of points/: models, mechanisms, drawings and reference files."""
