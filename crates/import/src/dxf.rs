//! DXF drawings as text: lines, arcs, circles, polylines with bulges, and blocks that are inserted.

use std::collections::HashMap;

use crate::shapes::{Circle, Form, Piece, Point, Shapes, Unit, arc, sensible};
use crate::{MOST, Problem};

/// Blocks that stand in blocks, at the most.
const DEEP: usize = 8;

/// One entity: its name, its pairs of code and value, its line.
#[derive(Clone, Debug)]
struct Entity {
    name: String,
    pairs: Vec<(i32, String)>,
    line: usize,
}

impl Entity {
    fn number(&self, code: i32) -> Result<Option<f64>, Problem> {
        let Some((_, text)) = self.pairs.iter().find(|pair| pair.0 == code) else {
            return Ok(None);
        };
        let value: f64 = text.parse().map_err(|_| {
            Problem::new(
                self.line,
                format!("`{text}` is no number"),
                "export the drawing again",
            )
        })?;
        Ok(Some(value))
    }
    fn or(&self, code: i32, usual: f64) -> Result<f64, Problem> {
        Ok(self.number(code)?.unwrap_or(usual))
    }
    fn point(&self, x: i32) -> Result<Point, Problem> {
        Ok((self.or(x, 0.0)?, self.or(x + 10, 0.0)?))
    }
    fn flag(&self, code: i32) -> i64 {
        let found = self.pairs.iter().find(|pair| pair.0 == code);
        found.and_then(|pair| pair.1.parse().ok()).unwrap_or(0)
    }
    fn word(&self, code: i32) -> &str {
        let found = self.pairs.iter().find(|pair| pair.0 == code);
        found.map_or("", |pair| pair.1.as_str())
    }
}

/// How a block lies: shifted, scaled and turned.
#[derive(Clone, Copy)]
struct Place {
    base: Point,
    at: Point,
    scale: Point,
    turn: f64,
}

impl Place {
    fn of(self, point: Point) -> Point {
        let (x, y) = (
            (point.0 - self.base.0) * self.scale.0,
            (point.1 - self.base.1) * self.scale.1,
        );
        let (sin, cos) = self.turn.sin_cos();
        (self.at.0 + x * cos - y * sin, self.at.1 + x * sin + y * cos)
    }
    fn mirrors(self) -> bool {
        (self.scale.0 < 0.0) != (self.scale.1 < 0.0)
    }
}

/// # Errors
/// [`Problem`] where it is no text of pairs, states no unit, or is cut short.
pub(crate) fn read(text: &str, unit: Option<Unit>) -> Result<Shapes, Problem> {
    if text
        .lines()
        .next()
        .is_some_and(|line| line.contains("Binary DXF"))
    {
        return Err(Problem::new(
            None,
            "this is a binary DXF",
            "export it as text (ASCII)",
        ));
    }
    let (entities, blocks, stated) = parted(text)?;
    let millimetres = match stated {
        Some(millimetres) => millimetres,
        None => unit.map(Unit::millimetres).ok_or_else(|| {
            Problem::new(
                None,
                "the drawing states no unit",
                "say which: --unit mm or --unit in",
            )
        })?,
    };
    let mut drawing = Drawing {
        blocks: &blocks,
        shapes: Shapes::new(Form::Dxf),
        millimetres,
        taken: 0,
    };
    drawing.all(&entities, &[], 0)?;
    Ok(drawing.shapes)
}

type Blocks = HashMap<String, (Point, Vec<Entity>)>;

/// The entities of the drawing, its blocks, and how many millimetres its unit has.
fn parted(text: &str) -> Result<(Vec<Entity>, Blocks, Option<f64>), Problem> {
    let mut lines = text.lines().enumerate();
    let (mut entities, mut blocks) = (Vec::new(), Blocks::new());
    let mut section = String::new();
    let mut current: Option<Entity> = None;
    let mut block: Option<(String, Point, Vec<Entity>)> = None;
    let (mut header, mut unit) = (String::new(), None);
    let mut ended = false;
    let mut count = 0_usize;
    while let (Some((at, code)), Some((_, value))) = (lines.next(), lines.next()) {
        let code: i32 = code.trim().parse().map_err(|_| {
            Problem::new(
                at + 1,
                format!("`{}` is no group code", code.trim()),
                "export it as a text DXF",
            )
        })?;
        let value = value.trim();
        if code != 0 {
            match section.as_str() {
                "" if code == 2 => value.clone_into(&mut section),
                "HEADER" if code == 9 => value.clone_into(&mut header),
                "HEADER" if code == 70 && header == "$INSUNITS" => unit = millimetres(value),
                _ => {
                    if let Some(entity) = &mut current {
                        entity.pairs.push((code, value.to_owned()));
                    }
                }
            }
            continue;
        }
        if let Some(entity) = current.take() {
            count += 1;
            if count > MOST {
                return Err(Problem::new(
                    at + 1,
                    format!("more than {MOST} entities"),
                    "export the outline and the holes alone",
                ));
            }
            match (entity.name.as_str(), &mut block) {
                ("BLOCK", _) => {
                    block = Some((entity.word(2).to_owned(), entity.point(10)?, Vec::new()));
                }
                (_, Some((_, _, inside))) => inside.push(entity),
                _ if section == "ENTITIES" => entities.push(entity),
                _ => {}
            }
        }
        match value {
            "EOF" => {
                ended = true;
                break;
            }
            "SECTION" => section.clear(),
            "ENDSEC" => "between".clone_into(&mut section),
            "ENDBLK" => {
                if let Some((name, base, inside)) = block.take() {
                    blocks.insert(name, (base, inside));
                }
            }
            name => {
                current = Some(Entity {
                    name: name.to_owned(),
                    pairs: Vec::new(),
                    line: at + 1,
                });
            }
        }
    }
    if !ended {
        return Err(Problem::new(
            None,
            "the drawing has no end (`EOF`): it is cut short",
            "export it again",
        ));
    }
    Ok((entities, blocks, unit))
}

/// The unit of `$INSUNITS`; none where it says that there is none.
fn millimetres(code: &str) -> Option<f64> {
    Some(match code.parse::<u32>().ok()? {
        1 => 25.4,
        2 => 304.8,
        4 => 1.0,
        5 => 10.0,
        6 => 1000.0,
        8 => 25.4e-6,
        9 => 0.0254,
        12 => 1e-6,
        13 => 1e-3,
        14 => 100.0,
        _ => return None,
    })
}

struct Drawing<'d> {
    blocks: &'d Blocks,
    shapes: Shapes,
    millimetres: f64,
    /// How many entities were taken, those of blocks as often as they are inserted.
    taken: usize,
}

impl Drawing<'_> {
    fn all(&mut self, entities: &[Entity], places: &[Place], depth: usize) -> Result<(), Problem> {
        let mut polyline: Option<(bool, Vec<(Point, f64)>)> = None;
        for entity in entities {
            self.taken += 1;
            if self.taken > MOST {
                return Err(Problem::new(
                    entity.line,
                    format!("more than {MOST} entities, blocks counted as often as they are inserted"),
                    "export the outline and the holes alone",
                ));
            }
            match entity.name.as_str() {
                "LINE" => {
                    let (from, to) = (entity.point(10)?, entity.point(11)?);
                    self.piece((from, to, 0.0), places, entity.line)?;
                }
                "ARC" => self.arc(entity, places)?,
                "CIRCLE" => {
                    let (at, radius) = (entity.point(10)?, entity.or(40, 0.0)?);
                    let grown: f64 = places.iter().map(|place| place.scale.0.abs()).product();
                    let at = self.placed(at, places, entity.line)?;
                    let diameter = sensible(2.0 * radius * grown * self.millimetres, entity.line)?;
                    self.shapes.circles.push(Circle { at, diameter });
                }
                "LWPOLYLINE" => {
                    let mut points: Vec<(Point, f64)> = Vec::new();
                    for (code, text) in &entity.pairs {
                        let value = || -> Result<f64, Problem> {
                            text.parse().map_err(|_| {
                                Problem::new(
                                    entity.line,
                                    format!("`{text}` is no number"),
                                    "export the drawing again",
                                )
                            })
                        };
                        match (code, points.last_mut()) {
                            (10, _) => points.push(((value()?, 0.0), 0.0)),
                            (20, Some(last)) => last.0.1 = value()?,
                            (42, Some(last)) => last.1 = value()?,
                            _ => {}
                        }
                    }
                    self.polyline(entity.flag(70) & 1 == 1, &points, places, entity.line)?;
                }
                "POLYLINE" => polyline = Some((entity.flag(70) & 1 == 1, Vec::new())),
                "VERTEX" => {
                    if let Some((_, points)) = &mut polyline {
                        points.push((entity.point(10)?, entity.or(42, 0.0)?));
                    }
                }
                "SEQEND" => {
                    if let Some((closed, points)) = polyline.take() {
                        self.polyline(closed, &points, places, entity.line)?;
                    }
                }
                "INSERT" => {
                    let Some((base, inside)) = self.blocks.get(entity.word(2)) else {
                        continue;
                    };
                    if depth >= DEEP {
                        return Err(Problem::new(
                            entity.line,
                            format!(
                                "block `{}` stands in blocks {DEEP} deep, or in itself",
                                entity.word(2)
                            ),
                            "dissolve the blocks, and export it again",
                        ));
                    }
                    let place = Place {
                        base: *base,
                        at: entity.point(10)?,
                        scale: (entity.or(41, 1.0)?, entity.or(42, 1.0)?),
                        turn: entity.or(50, 0.0)?.to_radians(),
                    };
                    // The innermost place is taken first.
                    let mut all = vec![place];
                    all.extend_from_slice(places);
                    self.all(inside, &all, depth + 1)?;
                }
                _ => {}
            }
        }
        Ok(())
    }

    fn placed(&self, point: Point, places: &[Place], line: usize) -> Result<Point, Problem> {
        let (x, y) = places.iter().fold(point, |point, place| place.of(point));
        Ok((
            sensible(x * self.millimetres, line)?,
            sensible(y * self.millimetres, line)?,
        ))
    }

    fn piece(
        &mut self,
        (from, to, bulge): (Point, Point, f64),
        places: &[Place],
        line: usize,
    ) -> Result<(), Problem> {
        let mirrored = places.iter().filter(|place| place.mirrors()).count() % 2 == 1;
        self.shapes.pieces.push(Piece {
            from: self.placed(from, places, line)?,
            to: self.placed(to, places, line)?,
            bulge: if mirrored { -bulge } else { bulge },
        });
        Ok(())
    }

    fn polyline(
        &mut self,
        closed: bool,
        points: &[(Point, f64)],
        places: &[Place],
        line: usize,
    ) -> Result<(), Problem> {
        let next = points
            .iter()
            .skip(1)
            .chain(closed.then(|| points.first()).flatten());
        for ((from, bulge), (to, _)) in points.iter().zip(next) {
            self.piece((*from, *to, *bulge), places, line)?;
        }
        Ok(())
    }

    /// Counter-clockwise from one angle to the other.
    fn arc(&mut self, entity: &Entity, places: &[Place]) -> Result<(), Problem> {
        let (centre, radius) = (entity.point(10)?, entity.or(40, 0.0)?);
        let at = |degrees: f64| {
            let (sin, cos) = degrees.to_radians().sin_cos();
            (centre.0 + radius * cos, centre.1 + radius * sin)
        };
        let (from, to) = (at(entity.or(50, 0.0)?), at(entity.or(51, 360.0)?));
        for piece in arc(from, to, centre, true) {
            self.piece((piece.from, piece.to, piece.bulge), places, entity.line)?;
        }
        Ok(())
    }
}
