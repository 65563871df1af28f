//! 5. A report is mailed: no picture from the disk gets into it except those in the folders of the job and
//!    the shop.

use super::workshop::{JOB, Workshop, on};

const PICTURE: &[u8] = b"\x89PNG\r\n\x1a\nprivate";

#[test]
fn line_5_photo_and_logo_lie_below_the_folder_that_names_them() {
    for name in ["../private.png", "/etc/private.png", "a/../../private.png", "./../private.png"] {
        let shop = Workshop::new(&format!("{JOB}[[photo]]\nfile = \"{name}\"\n"), &Workshop::usual().runs());
        std::fs::write(shop.beside("private.png"), PICTURE).unwrap();
        let said = on(&["report"], &shop.job());
        assert_eq!(said.code, 2, "{name}: {said:?}");
        assert!(
            said.talk.contains("is in another folder") && said.talk.contains("job.toml:"),
            "{}",
            said.talk
        );
        let shop = Workshop::usual();
        std::fs::write(shop.beside("shop.toml"), format!("[shop]\nname = \"depot\"\nlogo = \"{name}\"\n"))
            .unwrap();
        let said = on(&["report"], &shop.job());
        assert!(
            said.talk.contains("is in another folder") && said.talk.contains("shop.toml:"),
            "{}",
            said.talk
        );
        assert!(!shop.job().join("report.html").exists());
    }
}

#[test]
fn line_5_a_link_out_of_the_folder_is_not_followed() {
    let shop =
        Workshop::new(&format!("{JOB}[[photo]]\nfile = \"in/photo.png\"\n"), &Workshop::usual().runs());
    std::fs::write(shop.beside("private.png"), PICTURE).unwrap();
    std::fs::create_dir(shop.job().join("in")).unwrap();
    std::os::unix::fs::symlink(shop.beside("private.png"), shop.job().join("in/photo.png")).unwrap();
    for verb in [&["report"][..], &["archive", "--archive", "/nonexistent/a.sqlite", "add"]] {
        let said = on(verb, &shop.job());
        assert_eq!(said.code, 2, "{said:?}");
        assert!(said.talk.contains("photo.png: is in another folder"), "{}", said.talk);
    }
    std::fs::remove_file(shop.job().join("in/photo.png")).unwrap();
    std::fs::write(shop.job().join("in/photo.png"), PICTURE).unwrap();
    assert_eq!(on(&["report"], &shop.job()).code, 0);
    let report = std::fs::read_to_string(shop.job().join("report.html")).unwrap();
    assert!(report.contains("data:image/png;base64,iVBORw0KGgpwcml2YXRl"));
}
