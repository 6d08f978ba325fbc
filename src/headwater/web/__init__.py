"""The pages: a small server over the same cases, sessions and outputs as the terminal.

How a page is added, in four steps:

1. Its words go into `view.labels`, what it lays out into the table of outputs (`outputs`): a paper,
   or a record that an entry's `page` makes. Nothing is decided, worded or reckoned here.
2. A template in `render/templates/site`, named after what a person sees. It extends `house.html`;
   `parts.html` has the macros: `form` (with its CSRF token), `button`, `field`, `paper`.
   What may come now at a seat is a macro of `turns.html`, named after its `Turn`.
3. A handler in the module of its seat (`signin`, `office`, `casefile`, `seats`): a plain
   function from an `PageAsked` to a `Reply`, in five steps: who asks, what was sent (`asked.form`,
   whose token is checked already), one call on the `Session` (`asked.house.reading` or `.writing`),
   one output, one template (`asked.show`) or, after a form, another page (`asked.go`).
4. A line in `PAGES` of `routes`: path, handler, who may use it, how large its form may be.

The seats differ in one thing: between two pages a person's place in the talk is kept
(`house.seated`, `session.atseat`), and each form is a deed of it (`seats.DEEDS`).

A handler runs in a thread of its own and may take its time; what it raises as a HeadwaterError is
shown as a page that says it, anything else as a fault of the program without details.
"""
