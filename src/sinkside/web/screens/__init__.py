"""The screens: each module holds one, called `screen`, with its views and their page dataclasses."""
