"""What a home freeze-dried batch really holds and costs, beside the pouch on the shelf."""
