"""What the person wrote down: the document, its checks, its files and its edits."""
