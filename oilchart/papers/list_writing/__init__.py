"""Pages and files for who writes point lists: drafts, drawings, placing, differences."""
