//! Writes all pictures of an invented scenario into the folder given as argument.

use std::path::Path;
use std::{env, fs, io};

use drawing::Layout;

mod scenario;

fn main() -> io::Result<()> {
    let Some(folder) = env::args().nth(1) else {
        return Err(io::Error::other("give the folder to write to"));
    };
    let folder = Path::new(&folder);
    fs::create_dir_all(folder)?;
    for (layout, suffix) in [(Layout::Wide, "wide"), (Layout::Narrow, "narrow")] {
        let pictures = [
            ("wiring", drawing::wiring(&scenario::wiring(), layout)),
            ("board", drawing::board(&scenario::board(), layout)),
            ("margins", drawing::margins(&scenario::margins(), layout)),
            ("comparison", drawing::comparison(&scenario::comparison(), layout)),
            ("scatter", drawing::scatter(&scenario::scatter(), layout)),
            ("plot", drawing::plot(&scenario::plot(), layout)),
            ("surface", drawing::surface(&scenario::surface(), layout)),
            ("tornado", drawing::tornado(&scenario::tornado(), layout)),
            ("spans", drawing::spans(&scenario::spans(), layout)),
            ("cells", drawing::cells(&scenario::cells(), layout)),
        ];
        for (name, svg) in pictures {
            fs::write(folder.join(format!("{name}-{suffix}.svg")), svg)?;
        }
    }
    for (i, page) in drawing::tags(&scenario::tags()).iter().enumerate() {
        fs::write(folder.join(format!("tags-{}.svg", i + 1)), page)?;
    }
    Ok(())
}
