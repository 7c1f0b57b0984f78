\version "2.25.12"
